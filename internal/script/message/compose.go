package message

import (
	"fmt"
	"strings"

	"firstfix/internal/wire/sms"
)

// writePDUs makes the messages of PDU mode and reads them back.
func (w *Written) writePDUs(o *Order) error {
	base := sms.Submit{StatusRequest: o.Report, Validity: sms.ValidFor(w.Validity)}
	if o.Centre != "" {
		base.SMSC = sms.NewAddress(sms.NormaliseNumber(o.Centre))
	}
	w.Parameters = [4]int{o.firstOctet(), int(sms.RelativeFor(w.Validity)), 0, int(w.Fit.DCS)}
	w.settings(o)
	for i, to := range w.To {
		messages, err := sms.Compose(base, to.Normal, w.Text, o.split())
		if err != nil {
			return err
		}
		at, joined := 0, ""
		for n := range messages {
			hex, length, err := messages[n].Encode()
			if err != nil {
				return err
			}
			back, err := sms.Decode(hex, sms.ToNetwork)
			if err != nil || back.TPDUOctets != length {
				panic("message: a PDU of ours cannot be read back: " + hex)
			}
			joined += back.Data.Text
			if i == 0 {
				p := Part{Text: messages[n].Text, From: at, To: at + len(messages[n].Text), Room: w.Fit.PerPart, PDU: hex, Length: length}
				p.Units = unitsIn(p.Text, &w.Fit)
				at = p.To
				w.Parts = append(w.Parts, p)
				w.Shown, _ = judgePDU(&back, nil)
			}
			w.sendPDU(i, n, len(messages), hex, length)
		}
		if joined != w.Text && !strings.ContainsRune(w.Text, '\uFFFD') {
			panic("message: what was written is not what is read back")
		}
	}
	w.shownAsWritten()
	return nil
}

// shownAsWritten: the text was read back and is whole, so it is not garbled,
// whatever it looks like: hex digits may be meant as they stand.
func (w *Written) shownAsWritten() {
	w.Shown.Shown = w.Text
	if w.Shown.How == sms.HowGarbled {
		w.Shown = sms.Effect{Shown: w.Text, How: sms.HowPlain}
	}
}

// unitsIn counts the septets or 16-bit units of a piece of the text that f measured.
func unitsIn(piece string, f *sms.Fit) int {
	if !f.InOctets() {
		septets, _ := f.Shift.AppendSeptets(nil, piece)
		return len(septets)
	}
	n := 0
	for _, r := range piece {
		if n++; r > 0xFFFF {
			n++
		}
	}
	return n
}

// writeText makes the messages of text mode and asks what a handset shows.
func (w *Written) writeText(o *Order) error {
	pieces := []Part{{Text: w.Text, To: len(w.Text)}}
	if w.Fit.Parts > 1 {
		var err error
		if pieces, err = separate(w.Text, &w.Fit); err != nil {
			return err
		}
		w.note("TS 23.040 9.2.3.24.1", "in text mode the %d parts are texts of their own: the telephone does not join them, and they may arrive in another order, so they are numbered", len(pieces))
	}
	why := "as ordered"
	if w.CharacterSet = strings.ToUpper(o.CharacterSet); w.CharacterSet == "" {
		if w.CharacterSet, why = setFor(w.Text); w.Fit.InOctets() {
			w.CharacterSet, why = SetUCS2, "the text needs 16-bit characters, which are typed in hex"
		}
	}
	w.Parameters = [4]int{o.firstOctet(), int(sms.RelativeFor(w.Validity)), 0, int(w.Fit.DCS)}
	w.note("TS 27.007 5.5", "+CSCS is %q: %s", w.CharacterSet, why)
	w.settings(o)
	for i := range w.To {
		for n := range pieces {
			p := &pieces[n]
			typed, ok := typedIn(p.Text, w.CharacterSet, w.Fit.Coding)
			if !ok {
				return &OrderError{"character set", fmt.Sprintf("%q", w.CharacterSet), "one that can write the text: UCS2 writes all, PDU mode too"}
			}
			if i == 0 {
				// Room in one message: a part of its own has no header.
				p.Units, p.Room = unitsIn(p.Text, &w.Fit), roomAlone(&w.Fit)
				w.Shown = sms.Workshop(w.Parameters[0], w.Parameters[1], w.Parameters[2], w.Parameters[3], typed, w.CharacterSet)
				if w.Shown.Shown != p.Text && !strings.ContainsRune(p.Text, '\uFFFD') {
					return &OrderError{"character set", fmt.Sprintf("%q, of which a handset shows %q", w.CharacterSet, w.Shown.Shown), "one that can write the text: UCS2 writes all, PDU mode too"}
				}
			}
			w.sendText(i, n, len(pieces), typed)
		}
	}
	w.Parts = pieces
	w.shownAsWritten()
	return nil
}

// roomAlone is how many units fit in a message without a header.
func roomAlone(f *sms.Fit) int {
	if f.InOctets() {
		return 70
	}
	return 160
}

// separate cuts a text into texts of their own, between words, numbered "1/3 ".
func separate(text string, f *sms.Fit) ([]Part, error) {
	const most = 99 // two digits number them; who needs more wants PDU mode
	for digits := 1; digits <= 2; digits++ {
		lead := 2*digits + 2
		room := roomAlone(f) - lead
		var parts []Part
		for from := 0; from < len(text) && len(parts) <= most; {
			to := from + cut(text[from:], room, f)
			parts = append(parts, Part{From: from, To: to})
			from = to
		}
		if len(parts) > 9 && digits == 1 || len(parts) > most {
			continue
		}
		for i := range parts {
			p := &parts[i]
			p.Text = fmt.Sprintf("%d/%d ", i+1, len(parts)) + strings.Trim(text[p.From:p.To], " ")
		}
		return parts, nil
	}
	return nil, &OrderError{"text", fmt.Sprintf("%d characters", len([]rune(text))), fmt.Sprintf("at most %d texts in text mode; PDU mode takes more", most)}
}

// cut returns how many octets of text fit into room units: up to the last blank,
// when there is one in the second half.
func cut(text string, room int, f *sms.Fit) int {
	used, blank := 0, 0
	for i, r := range text {
		n := 1
		if f.InOctets() && r > 0xFFFF {
			n = 2
		} else if !f.InOctets() {
			n = unitsIn(string(r), f)
		}
		if used += n; used > room {
			if blank > i/2 {
				return blank
			}
			return i
		}
		if r == ' ' || r == '\n' {
			blank = i + 1
		}
	}
	return len(text)
}
