package controller

// The bits of ADCSRA.
const (
	adcOn        = 1 << 7
	adcStart     = 1 << 6
	adcAuto      = 1 << 5
	adcFlag      = 1 << 4
	adcInterrupt = 1 << 3
)

// How long a conversion takes, in half cycles of the converter's clock (datasheet,
// "ADC conversion time"): 25 for the first, 13, and 13.5 when triggered.
const (
	adcFirstHalves   = 50
	adcUsualHalves   = 26
	adcTriggerHalves = 27
)

const (
	adcFull       = 1024
	adcBandgapMV  = 1100 // datasheet, internal reference: 1.0 to 1.2 V, 1.1 typically
	adcSlowestHz  = 50e3 // datasheet: outside these the full resolution is not promised
	adcFastestHz  = 200e3
	adcBandgap    = 14 // channel numbers of MUX3:0
	adcGround     = 15
	adcThermistor = 8
	adcChannels   = 16
)

type adc struct {
	mV       [adcChannels]int
	given    [adcChannels]bool
	refMV    int // what the AREF pin has; 0: nothing
	result   uint16
	waiting  uint16 // a result that came while the last was half read
	locked   bool   // ADCL was read, ADCH not yet
	hasWait  bool
	busy     bool
	warm     bool  // one conversion has been made since it was switched on
	began    Cycle // of the prescaler
	admux    uint8 // as the running conversion took it
	convMV   int
	convKnow bool
}

func (a *adc) reset() {
	a.result, a.locked, a.hasWait, a.busy, a.warm = 0, false, false, false, false
}

// SetAnalog says what voltage a channel of the converter has from now on. Channel 8
// is the temperature sensor; 14 and 15 are the part's own.
func (c *Core) SetAnalog(channel, mV int) {
	if channel < 0 || channel >= adcChannels {
		return
	}
	c.adc.mV[channel], c.adc.given[channel] = mV, true
}

// SetReference says what voltage the AREF pin has; 0 is nothing but its capacitor.
func (c *Core) SetReference(mV int) { c.adc.refMV = mV }

// adcDiv is the prescaler of ADPS2:0.
func (c *Core) adcDiv() Cycle {
	n := c.data[c.where[regADCSRA]] & 7
	return Cycle(1) << max(n, 1)
}

func (c *Core) writeADCSRA(v uint8, at Cycle) {
	addr := c.where[regADCSRA]
	old := c.data[addr]
	if v&adcFlag != 0 {
		c.lower(srcADC)
	}
	next := v &^ adcFlag
	if v&adcOn == 0 {
		next &^= adcStart
		c.adc.busy, c.adc.warm = false, false
		c.setDue(alarmADC, Never)
	} else if old&adcStart != 0 && c.adc.busy {
		next |= adcStart // a running conversion cannot be called off this way
	}
	if v&adcOn != 0 && old&adcOn == 0 {
		c.adc.began = at
	}
	c.data[addr] = next
	c.enable(srcADC, v&adcInterrupt != 0, at)
	c.planTimers(at)
	if next&(adcOn|adcStart) == adcOn|adcStart && !c.adc.busy {
		c.convert(at, adcUsualHalves)
	}
}

// readADCSRA shows the flag where programs poll it.
func (c *Core) readADCSRA() uint8 {
	v := c.data[c.where[regADCSRA]]
	if c.raised&(1<<srcADC) != 0 {
		v |= adcFlag
	}
	return v
}

// convert begins a conversion at the next edge of the converter's clock.
func (c *Core) convert(at Cycle, halves Cycle) {
	if c.offByPRR(1, "the ADC") {
		return
	}
	a := &c.adc
	a.busy = true
	c.data[c.where[regADCSRA]] |= adcStart
	if !a.warm {
		halves, a.warm = adcFirstHalves, true
	}
	div := c.adcDiv()
	wait := (div - (at-a.began)%div) % div
	a.admux = c.data[c.where[regADMUX]]
	if hz := c.opts.ClockHz / float64(div); hz > adcFastestHz*5 || hz < adcSlowestHz/2 {
		c.note(Refused, c.where[regADCSRA], "runs the ADC at %.0f kHz, far outside the 50 to 200 kHz of the datasheet,", hz/1000)
	}
	// The sample is held soon after the start; what the caller sets later comes too late.
	a.convMV, a.convKnow = c.analogIn(a.admux & 0x0F)
	c.setDue(alarmADC, at+wait+halves*div/2)
}

// analogIn is what a channel has.
func (c *Core) analogIn(channel uint8) (mV int, known bool) {
	switch channel {
	case adcBandgap:
		return adcBandgapMV, true
	case adcGround:
		return 0, true
	}
	return c.adc.mV[channel], c.adc.given[channel]
}

func (c *Core) analogReference(admux uint8) int {
	switch admux >> 6 {
	case 0:
		return c.adc.refMV
	case 1:
		return c.supplyMV
	}
	return adcBandgapMV
}

func (c *Core) converted(at Cycle) {
	a := &c.adc
	a.busy = false
	addr := c.where[regADMUX]
	if !a.convKnow {
		c.note(FloatingRead, addr<<8|uint16(a.admux&0x0F), "measures ADC%d, to which no voltage was given: it reads 0,", a.admux&0x0F)
	}
	ref := c.analogReference(a.admux)
	if ref <= 0 {
		c.note(FloatingRead, addr, "measures against AREF, to which no voltage was given: it reads 1023,")
		ref = 1
	}
	result := uint16(max(0, min(adcFull-1, a.convMV*adcFull/ref)))
	if a.locked {
		a.waiting, a.hasWait = result, true // lost (datasheet, ADCL and ADCH)
	} else {
		a.result = result
	}
	csr := c.where[regADCSRA]
	c.data[csr] &^= adcStart
	c.raise(srcADC, at)
	if c.data[csr]&adcAuto != 0 && c.data[c.where[regADCSRB]]&7 == 0 {
		c.convert(at, adcUsualHalves) // free running
	}
}

func (c *Core) readADC(kind regKind) uint8 {
	a := &c.adc
	v := a.result
	if c.data[c.where[regADMUX]]&(1<<5) != 0 {
		v <<= 6
	}
	if kind == regADCL {
		if !a.locked {
			c.touched++
		}
		a.locked = true
		return uint8(v)
	}
	if a.locked {
		c.touched++
	}
	a.locked, a.hasWait = false, false
	return uint8(v >> 8)
}

// adcTriggers are the sources that may start a conversion, by ADTS2:0 (datasheet,
// "ADC auto trigger source selections").
var adcTriggers = [8]source{srcADC, srcAnalog, srcINT0, srcTimer0 + ofMatchA, srcTimer0 + ofOverflow, srcTimer0 + 5 + ofMatchB, srcTimer0 + 5 + ofOverflow, srcTimer0 + 5 + ofCapture}

// adcTriggered says that a source starts conversions.
func (c *Core) adcTriggered(s source) bool {
	v := c.data[c.where[regADCSRA]]
	return v&(adcOn|adcAuto) == adcOn|adcAuto && s != srcADC && adcTriggers[c.data[c.where[regADCSRB]]&7] == s
}

func (c *Core) adcTrigger(s source, at Cycle) {
	if c.adcTriggered(s) && !c.adc.busy {
		c.convert(at, adcTriggerHalves)
	}
}

// adcSleeps starts a conversion when the part goes into ADC noise reduction.
func (c *Core) adcSleeps(at Cycle) {
	if c.data[c.where[regADCSRA]]&adcOn != 0 && !c.adc.busy {
		c.convert(at, adcUsualHalves)
	}
}
