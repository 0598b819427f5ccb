package sms

// statusReport reads TS 23.040 clause 9.2.2.3.
func (d *decoder) statusReport() {
	p := &d.p
	p.Reference, _ = d.octet(PartReference, "TP-MR", "TS 23.040 9.2.3.6")
	d.address("TP-RA")
	p.Stamp = d.stamp(PartStamp, "TP-SCTS", "TS 23.040 9.2.3.11")
	p.Discharge = d.stamp(PartDischarge, "TP-DT", "TS 23.040 9.2.3.13")
	if o, ok := d.octet(PartStatus, "TP-ST", "TS 23.040 9.2.3.15"); ok {
		p.Status = Status(o)
	}
	if d.fault == nil && d.at < d.n {
		d.optional()
	}
}

// report reads a DELIVER-REPORT or SUBMIT-REPORT, clauses 9.2.2.1a and 9.2.2.2a.
// Each has two forms, with and without a cause; which of them it is, is said one
// layer below, not here. A cause is at least 0x80 (clause 9.2.3.22) and the
// indicator that stands in its place otherwise has its top bit clear, as long as
// it has no extension (clause 9.2.3.27); so the octet itself decides.
func (d *decoder) report() {
	if d.fault == nil && d.at < d.n && d.octets[d.at] >= 0x80 {
		o, _ := d.octet(PartCause, "TP-FCS", "TS 23.040 9.2.3.22")
		d.p.Cause = Cause(o)
	}
	if !d.need(1, "TP-PI", "TS 23.040 9.2.3.27") {
		return
	}
	d.optional()
}

// optional reads TP-PI and the parts it announces, clause 9.2.3.27: bit 0
// TP-PID, bit 1 TP-DCS, bit 2 TP-UDL, bit 7 another indicator octet.
func (d *decoder) optional() {
	at := d.at
	pi, ok := d.octet(PartIndicator, "TP-PI", "TS 23.040 9.2.3.27")
	if !ok {
		return
	}
	d.p.Indicator = pi
	for more := pi; more&0x80 != 0; {
		if more, ok = d.octet(PartIndicator, "TP-PI", "TS 23.040 9.2.3.27"); !ok {
			return
		}
		d.p.where[PartIndicator] = span{uint16(at), uint16(d.at - at)}
	}
	if d.p.Kind == KindSubmitReport { // mandatory, and behind the indicator: clause 9.2.2.2a
		d.p.Stamp = d.stamp(PartStamp, "TP-SCTS", "TS 23.040 9.2.3.11")
	}
	if pi&1 != 0 {
		d.pid()
	}
	if pi&2 != 0 {
		d.coding()
	}
	if pi&4 != 0 {
		d.userData()
	}
}

// command reads TS 23.040 clause 9.2.2.4.
func (d *decoder) command() {
	p := &d.p
	p.Reference, _ = d.octet(PartReference, "TP-MR", "TS 23.040 9.2.3.6")
	d.pid()
	if o, ok := d.octet(PartCommand, "TP-CT", "TS 23.040 9.2.3.19"); ok {
		p.Order = CommandType(o)
	}
	p.Number, _ = d.octet(PartNumber, "TP-MN", "TS 23.040 9.2.3.18")
	d.address("TP-DA")
	d.userData()
}
