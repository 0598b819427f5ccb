package capture

import "testing"

// Numbers are those reserved for fiction; identities are made up, the card
// number has the shape of ITU-T E.118, the PDU is of a made-up message.
func TestPrivacy(t *testing.T) {
	p := NewPrivacy()
	for _, c := range []struct{ in, want string }{
		{`AT+CMGS="+12025550143"`, `AT+CMGS="number-1"`},
		{`+CMT: "+447700900123",,"26/03/04,10:15:30+00"`, `+CMT: "number-2",,"26/03/04,10:15:30+00"`},
		{`call +1 202 555 0143 or +44 7700 900123.`, `call number-1 or number-2.`},
		{`ATD07700900123;`, `ATDnumber-3;`},
		{`+CLIP: "07700900123",129`, `+CLIP: "number-3",129`},
		{`+CMGR: "REC READ","002B00310032003000320035003500350030003100340033"`, `+CMGR: "REC READ","number-1"`},
		{`350000000000006`, `identity-1`},
		{`+CGSN: "350000000000006"`, `+CGSN: "identity-1"`},
		{`001010123456789`, `identity-2`},
		{`+CCID: 8944000000000000012F`, `+CCID: card-1`},
		{`8944000000000000012`, `card-1`},
		{`07917283010010F5040BC87238880900F10000993092516195800AE8329BFD4697D9EC37`, `pdu-1`},
		{`+CREG: 2,1,"00C3","00001234"`, `+CREG: 2,1,"00C3","00001234"`},
		{`+COPS: 0,2,"00101"`, `+COPS: 0,2,"00101"`},
		{`+CSQ: 17,0`, `+CSQ: 17,0`},
		{`+CCLK: "26/03/04,10:15:30+00"`, `+CCLK: "26/03/04,10:15:30+00"`},
		{`$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F`, `$GPRMC,101530.00,A,5142.61260,N,00018.44160,W,0.012,,040326,,,A*6F`},
		{`geo:51.71021,-0.30736`, `geo:51.71021,-0.30736`},
		{`51.710212345678901,-0.307361234567890`, `51.710212345678901,-0.307361234567890`},
		{`at 20260304101530 the line was lost`, `at 20260304101530 the line was lost`},
		{`AT+CGDCONT=1,"IP","ring.example"`, `AT+CGDCONT=1,"IP","ring.example"`},
		{`AT+CPIN="****"`, `AT+CPIN="****"`},
		{`record 1234567 of 7654321`, `record 1234567 of 7654321`},
		{``, ``},
	} {
		got := p.Hide(c.in)
		if got != c.want {
			t.Errorf("Hide(%q)\n got  %q\n want %q", c.in, got, c.want)
		}
		if again := p.Hide(got); again != got {
			t.Errorf("hidden twice: %q became %q", got, again)
		}
	}
	p.Coordinates = true
	for _, c := range []struct{ in, want string }{
		{`I am at 51.71021,-0.30736 now`, `I am at position-1 now`},
		{`$GPRMC,101530,A,5142.6126,N,00018.4416,W,0.0`, `$GPRMC,101530,A,position-2,0.0`},
		{`geo:51.71021,-0.30736`, `geo:position-1`},
	} {
		if got := p.Hide(c.in); got != c.want {
			t.Errorf("Hide(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func FuzzPrivacy(f *testing.F) {
	f.Add(`+CMT: "+447700900123",,"26/03/04,10:15:30+00"`)
	f.Add(`8944000000000000012F 350000000000006 002B0031003200300032`)
	f.Fuzz(func(t *testing.T, s string) {
		p := NewPrivacy()
		got := p.Hide(s)
		if p.Hide(s) != got {
			t.Errorf("not stable: %q", s)
		}
	})
}
