package nmea

// GST is how uncertain the receiver thinks its position is.
type GST struct {
	Time           clockTime // since midnight UTC
	RangeRMSM      decimals  // of the residuals of the ranges
	MajorM, MinorM decimals  // axes of the error ellipse, 1 sigma
	OrientationDeg decimals  // of its major axis, from true north
	LatM           decimals  // 1 sigma
	LonM           decimals  // 1 sigma
	AltitudeM      decimals  // 1 sigma
}

// gstFields is the sentence, in order. To add a field, add a line.
var gstFields = []field[GST]{
	{1, "time of measurement", "", clock(func(r *GST) *clockTime { return &r.Time })},
	{2, "RMS of range residuals", "", upTo(noLimit, "metres", func(r *GST) *decimals { return &r.RangeRMSM })},
	{3, "semi-major axis, 1 sigma", "", upTo(noLimit, "metres", func(r *GST) *decimals { return &r.MajorM })},
	{4, "semi-minor axis, 1 sigma", "", upTo(noLimit, "metres", func(r *GST) *decimals { return &r.MinorM })},
	{5, "orientation of the major axis, from true north", "", upTo(360, "degrees", func(r *GST) *decimals { return &r.OrientationDeg })},
	{6, "latitude, 1 sigma", "", upTo(noLimit, "metres", func(r *GST) *decimals { return &r.LatM })},
	{7, "longitude, 1 sigma", "", upTo(noLimit, "metres", func(r *GST) *decimals { return &r.LonM })},
	{8, "altitude, 1 sigma", "", upTo(noLimit, "metres", func(r *GST) *decimals { return &r.AltitudeM })},
}

// DecodeGST reads the fields of s. It always returns a record; errors.Join lists
// the fields that it could not read.
func DecodeGST(s *Sentence) (r GST, err error) {
	err = r.Decode(s)
	return r, err
}

// Decode is DecodeGST into a record that is there already.
func (r *GST) Decode(s *Sentence) error { return decode(gstName, gstFields, s, r) }

// Encode writes the sentence.
func (r GST) Encode(talker string) string { return encode(talker, gstName, gstFields, &r) }

const gstName = "GST"
