package controller

// A Part is what sets one microcontroller of the family apart from another. It is
// all tables: another part is another value of this type.
type Part struct {
	Name      string
	Signature [3]byte // datasheet, "Signature bytes"

	FlashBytes  uint32 // a power of two
	RAMStart    uint32 // data address of the first byte of RAM; all below is registers
	RAMBytes    uint32
	EEPROMBytes uint32
	VectorWords uint32 // flash words of one interrupt vector
	wideCalls   bool   // a program counter of more than 16 bits: calls cost one cycle more

	registers []register
	vectors   []vector // in the order of their numbers, reset (0) left out
	timers    []timerPart
	usarts    []usartPart
	ports     string      // letters of the ports there are
	external  []Pin       // INT0, INT1 …
	pinChange [4][8]Pin   // PCINT0 … in groups of one flag each
	analog    []Pin       // ADC0 …
	spi       [4]Pin      // SS, MOSI, MISO, SCK
	twi       [2]Pin      // SDA, SCL
	safe      []safeSpeed // the lowest supply at which a clock is safe
}

// RAMEnd is the last data address of RAM.
func (p *Part) RAMEnd() uint32 { return p.RAMStart + p.RAMBytes - 1 }

// safeSpeed is a corner of the datasheet's safe operating area.
type safeSpeed struct {
	supplyMV int
	clockHz  float64
}

func (p *Part) features() feature {
	var f feature
	if p.FlashBytes > 64<<10 {
		f |= hasELPM
	}
	if p.FlashBytes > 128<<10 {
		f |= hasEIJMP
	}
	return f
}

// regKind says how a register behaves when it is read or written.
type regKind uint8

const (
	regNone  regKind = iota // no register at this address
	regPlain                // keeps what is written
	regPIN
	regDDR
	regPORT
	regTIFR
	regTIMSK
	regTCCRA
	regTCCRB
	regTCCRC
	regTCNT
	regTCNTH
	regOCRA
	regOCRAH
	regOCRB
	regOCRBH
	regICR
	regICRH
	regGTCCR
	regASSR
	regPCIFR
	regPCICR
	regPCMSK
	regEIFR
	regEIMSK
	regEICRA
	regEECR
	regSPCR
	regSPSR
	regSPDR
	regACSR
	regSMCR
	regMCUSR
	regMCUCR
	regSPMCSR
	regSPL
	regSPH
	regSREG
	regWDTCSR
	regCLKPR
	regPRR
	regADCL
	regADCH
	regADCSRA
	regADCSRB
	regADMUX
	regTWBR
	regTWSR
	regTWDR
	regTWCR
	regUCSRA
	regUCSRB
	regUCSRC
	regUBRRL
	regUBRRH
	regUDR

	regKinds // one more than the last
)

// register is one line of the datasheet's register summary.
type register struct {
	addr  uint16 // in data space
	name  string
	kind  regKind
	unit  uint8 // which timer, port, USART
	keep  uint8 // bits that keep what is written; the others read as zero or are the unit's
	start uint8 // after a reset
}

// vector is one line of the datasheet's interrupt vector table.
type vector struct {
	name   string // as avr-libc names it, without _vect
	source source
}

// timerPart is one timer/counter.
type timerPart struct {
	wide    bool   // 16 bits
	slow    bool   // prescaler choices of timer 2, and a prescaler of its own
	clockIn Pin    // external clock
	capture Pin    // input capture
	out     [3]Pin // OCnA, OCnB, OCnC
	off     uint8  // its bit in PRR
	sources source // the first of its five interrupt sources
}

type usartPart struct {
	rx, tx  Pin
	sources source // of receive complete; data register empty and transmit complete follow
}

// source is a cause of an interrupt, the same for every part.
type source uint8

const (
	srcINT0     source = 0  // to srcINT0+7
	srcPCINT0   source = 8  // to +3
	srcWatchdog source = 12 //
	srcTimer0   source = 13 // five for each of six timers
	srcUSART0   source = 43 // three for each of four
	srcSPI      source = 55
	srcADC      source = 56
	srcEEPROM   source = 57
	srcAnalog   source = 58
	srcTWI      source = 59
	srcSPM      source = 60
)

// The five sources of a timer, in the order of the bits of TIFR but for capture.
const (
	ofOverflow source = 0
	ofMatchA   source = 1
	ofMatchB   source = 2
	ofMatchC   source = 3
	ofCapture  source = 4
)

// The three sources of a USART.
const (
	ofReceived source = 0
	ofEmpty    source = 1
	ofSent     source = 2
)

// PartNamed finds a part by its name, in lower case as compilers spell it; nil when there is none.
func PartNamed(name string) *Part {
	for _, p := range []*Part{&atmega328P} {
		if p.Name == name {
			return p
		}
	}
	return nil
}

// ATmega328P is the one part there is so far.
func ATmega328P() *Part { return &atmega328P }

// atmega328P is written from its datasheet (DS40002061): chapters "Register
// summary", "Interrupts" and "I/O-Ports".
var atmega328P = Part{
	Name:        "atmega328p",
	Signature:   [3]byte{0x1E, 0x95, 0x0F},
	FlashBytes:  32 << 10,
	RAMStart:    0x100,
	RAMBytes:    2 << 10,
	EEPROMBytes: 1 << 10,
	VectorWords: 2,
	registers:   registersOf328P,
	vectors: []vector{
		{"INT0", srcINT0}, {"INT1", srcINT0 + 1},
		{"PCINT0", srcPCINT0}, {"PCINT1", srcPCINT0 + 1}, {"PCINT2", srcPCINT0 + 2},
		{"WDT", srcWatchdog},
		{"TIMER2_COMPA", srcTimer0 + 10 + ofMatchA}, {"TIMER2_COMPB", srcTimer0 + 10 + ofMatchB}, {"TIMER2_OVF", srcTimer0 + 10 + ofOverflow},
		{"TIMER1_CAPT", srcTimer0 + 5 + ofCapture},
		{"TIMER1_COMPA", srcTimer0 + 5 + ofMatchA}, {"TIMER1_COMPB", srcTimer0 + 5 + ofMatchB}, {"TIMER1_OVF", srcTimer0 + 5 + ofOverflow},
		{"TIMER0_COMPA", srcTimer0 + ofMatchA}, {"TIMER0_COMPB", srcTimer0 + ofMatchB}, {"TIMER0_OVF", srcTimer0 + ofOverflow},
		{"SPI_STC", srcSPI},
		{"USART_RX", srcUSART0 + ofReceived}, {"USART_UDRE", srcUSART0 + ofEmpty}, {"USART_TX", srcUSART0 + ofSent},
		{"ADC", srcADC}, {"EE_READY", srcEEPROM}, {"ANALOG_COMP", srcAnalog}, {"TWI", srcTWI}, {"SPM_READY", srcSPM},
	},
	timers: []timerPart{
		{clockIn: PinOf('D', 4), capture: NoPin, out: [3]Pin{PinOf('D', 6), PinOf('D', 5), NoPin}, off: 1 << 5, sources: srcTimer0},
		{wide: true, clockIn: PinOf('D', 5), capture: PinOf('B', 0), out: [3]Pin{PinOf('B', 1), PinOf('B', 2), NoPin}, off: 1 << 3, sources: srcTimer0 + 5},
		{slow: true, clockIn: NoPin, capture: NoPin, out: [3]Pin{PinOf('B', 3), PinOf('D', 3), NoPin}, off: 1 << 6, sources: srcTimer0 + 10},
	},
	usarts:   []usartPart{{rx: PinOf('D', 0), tx: PinOf('D', 1), sources: srcUSART0}},
	ports:    "BCD",
	external: []Pin{PinOf('D', 2), PinOf('D', 3)},
	pinChange: [4][8]Pin{
		{8, 9, 10, 11, 12, 13, 14, 15},
		{16, 17, 18, 19, 20, 21, 22, NoPin},
		{24, 25, 26, 27, 28, 29, 30, 31},
		{NoPin, NoPin, NoPin, NoPin, NoPin, NoPin, NoPin, NoPin},
	},
	analog: []Pin{16, 17, 18, 19, 20, 21},
	spi:    [4]Pin{PinOf('B', 2), PinOf('B', 3), PinOf('B', 4), PinOf('B', 5)},
	twi:    [2]Pin{PinOf('C', 4), PinOf('C', 5)},
	// "Maximum speed vs VCC": straight lines between these corners.
	safe: []safeSpeed{{1800, 4e6}, {2700, 10e6}, {4500, 20e6}},
}

// registersOf328P is the register summary, from the lowest address.
var registersOf328P = []register{
	{0x23, "PINB", regPIN, 1, 0, 0}, {0x24, "DDRB", regDDR, 1, 0xFF, 0}, {0x25, "PORTB", regPORT, 1, 0xFF, 0},
	{0x26, "PINC", regPIN, 2, 0, 0}, {0x27, "DDRC", regDDR, 2, 0x7F, 0}, {0x28, "PORTC", regPORT, 2, 0x7F, 0},
	{0x29, "PIND", regPIN, 3, 0, 0}, {0x2A, "DDRD", regDDR, 3, 0xFF, 0}, {0x2B, "PORTD", regPORT, 3, 0xFF, 0},
	{0x35, "TIFR0", regTIFR, 0, 0, 0}, {0x36, "TIFR1", regTIFR, 1, 0, 0}, {0x37, "TIFR2", regTIFR, 2, 0, 0},
	{0x3B, "PCIFR", regPCIFR, 0, 0, 0}, {0x3C, "EIFR", regEIFR, 0, 0, 0}, {0x3D, "EIMSK", regEIMSK, 0, 0x03, 0},
	{0x3E, "GPIOR0", regPlain, 0, 0xFF, 0},
	{0x3F, "EECR", regEECR, 0, 0x38, 0}, {0x40, "EEDR", regPlain, 0, 0xFF, 0},
	{0x41, "EEARL", regPlain, 0, 0xFF, 0}, {0x42, "EEARH", regPlain, 0, 0x03, 0},
	{0x43, "GTCCR", regGTCCR, 0, 0x80, 0},
	{0x44, "TCCR0A", regTCCRA, 0, 0xF3, 0}, {0x45, "TCCR0B", regTCCRB, 0, 0x0F, 0}, {0x46, "TCNT0", regTCNT, 0, 0, 0},
	{0x47, "OCR0A", regOCRA, 0, 0xFF, 0}, {0x48, "OCR0B", regOCRB, 0, 0xFF, 0},
	{0x4A, "GPIOR1", regPlain, 0, 0xFF, 0}, {0x4B, "GPIOR2", regPlain, 0, 0xFF, 0},
	{0x4C, "SPCR", regSPCR, 0, 0xFF, 0}, {0x4D, "SPSR", regSPSR, 0, 0x01, 0}, {0x4E, "SPDR", regSPDR, 0, 0, 0},
	{0x50, "ACSR", regACSR, 0, 0xCF, 0},
	{0x53, "SMCR", regSMCR, 0, 0x0F, 0}, {0x54, "MCUSR", regMCUSR, 0, 0x0F, 0}, {0x55, "MCUCR", regMCUCR, 0, 0x10, 0},
	{0x57, "SPMCSR", regSPMCSR, 0, 0, 0},
	{0x5D, "SPL", regSPL, 0, 0xFF, 0}, {0x5E, "SPH", regSPH, 0, 0xFF, 0}, {0x5F, "SREG", regSREG, 0, 0xFF, 0},
	{0x60, "WDTCSR", regWDTCSR, 0, 0, 0}, {0x61, "CLKPR", regCLKPR, 0, 0, 0},
	{0x64, "PRR", regPRR, 0, 0xEF, 0}, {0x66, "OSCCAL", regPlain, 0, 0xFF, 0x80},
	{0x68, "PCICR", regPCICR, 0, 0x07, 0}, {0x69, "EICRA", regEICRA, 0, 0x0F, 0},
	{0x6B, "PCMSK0", regPCMSK, 0, 0xFF, 0}, {0x6C, "PCMSK1", regPCMSK, 1, 0x7F, 0}, {0x6D, "PCMSK2", regPCMSK, 2, 0xFF, 0},
	{0x6E, "TIMSK0", regTIMSK, 0, 0x07, 0}, {0x6F, "TIMSK1", regTIMSK, 1, 0x27, 0}, {0x70, "TIMSK2", regTIMSK, 2, 0x07, 0},
	{0x78, "ADCL", regADCL, 0, 0, 0}, {0x79, "ADCH", regADCH, 0, 0, 0},
	{0x7A, "ADCSRA", regADCSRA, 0, 0xEF, 0}, {0x7B, "ADCSRB", regADCSRB, 0, 0x47, 0}, {0x7C, "ADMUX", regADMUX, 0, 0xEF, 0},
	{0x7E, "DIDR0", regPlain, 0, 0x3F, 0}, {0x7F, "DIDR1", regPlain, 0, 0x03, 0},
	{0x80, "TCCR1A", regTCCRA, 1, 0xF3, 0}, {0x81, "TCCR1B", regTCCRB, 1, 0xDF, 0}, {0x82, "TCCR1C", regTCCRC, 1, 0, 0},
	{0x84, "TCNT1L", regTCNT, 1, 0, 0}, {0x85, "TCNT1H", regTCNTH, 1, 0, 0},
	{0x86, "ICR1L", regICR, 1, 0, 0}, {0x87, "ICR1H", regICRH, 1, 0, 0},
	{0x88, "OCR1AL", regOCRA, 1, 0xFF, 0}, {0x89, "OCR1AH", regOCRAH, 1, 0xFF, 0},
	{0x8A, "OCR1BL", regOCRB, 1, 0xFF, 0}, {0x8B, "OCR1BH", regOCRBH, 1, 0xFF, 0},
	{0xB0, "TCCR2A", regTCCRA, 2, 0xF3, 0}, {0xB1, "TCCR2B", regTCCRB, 2, 0x0F, 0}, {0xB2, "TCNT2", regTCNT, 2, 0, 0},
	{0xB3, "OCR2A", regOCRA, 2, 0xFF, 0}, {0xB4, "OCR2B", regOCRB, 2, 0xFF, 0}, {0xB6, "ASSR", regASSR, 0, 0, 0},
	{0xB8, "TWBR", regTWBR, 0, 0xFF, 0}, {0xB9, "TWSR", regTWSR, 0, 0x03, 0xF8}, {0xBA, "TWAR", regPlain, 0, 0xFF, 0xFE},
	{0xBB, "TWDR", regTWDR, 0, 0xFF, 0xFF}, {0xBC, "TWCR", regTWCR, 0, 0, 0}, {0xBD, "TWAMR", regPlain, 0, 0xFE, 0},
	{0xC0, "UCSR0A", regUCSRA, 0, 0x03, 0x20}, {0xC1, "UCSR0B", regUCSRB, 0, 0xFD, 0}, {0xC2, "UCSR0C", regUCSRC, 0, 0xFF, 0x06},
	{0xC4, "UBRR0L", regUBRRL, 0, 0xFF, 0}, {0xC5, "UBRR0H", regUBRRH, 0, 0x0F, 0}, {0xC6, "UDR0", regUDR, 0, 0, 0},
}
