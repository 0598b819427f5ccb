package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"firstfix/internal/report"
	"firstfix/internal/script/message"
	"firstfix/internal/wire/sms"

	"github.com/charmbracelet/x/ansi"
)

// row writes one line of a list of properties, with its long text under itself.
func row(w io.Writer, name, text string) {
	if text != "" {
		hanging(w, "  "+padded(name, 10), text)
	}
}

// sourced adds where a statement comes from.
func sourced(text, clause string) string {
	if clause == "" {
		return text
	}
	return text + "  [" + clause + "]"
}

// plural writes a number of things.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// showWritten writes a text that is ready to be sent, for a person.
func showWritten(out io.Writer, w *message.Written) {
	for _, l := range strings.Split(w.Text, "\n") {
		fmt.Fprintln(out, report.Visible(l))
	}
	var to []string
	for _, n := range w.To {
		to = append(to, n.Normal)
	}
	row(out, "to", strings.Join(to, ", "))
	row(out, "alphabet", fitWords(w.Fit))
	row(out, "parts", partsWords(w))
	row(out, "mode", fmt.Sprintf("%s; kept for at most %s by the service centre", w.Mode, shortTime(w.Validity)))
	row(out, "shows", shownWords(w.Shown))
	if w.Cost != nil {
		row(out, "costs", costWords(w))
	}
	showForcers(out, w.Forcers)
	if c := w.Cheaper; c != nil {
		meaning := "and mean the same"
		if !c.Same {
			meaning = "with letters that lost their marks"
		}
		fmt.Fprintf(out, "\nThese words would take %s, %s:\n  %s\n", plural(c.Parts, "part"), meaning, report.Visible(c.Text))
	}
	showParts(out, w)
	showExchanges(out, w)
	showNotes(out, w)
}

// fitWords says how a text travels.
func fitWords(f sms.Fit) string {
	unit := "characters of the default alphabet"
	if f.InOctets() {
		unit = "16-bit characters (UCS2)"
	}
	words := fmt.Sprintf("%d %s; %d fit in one message", f.Units, unit, alone(f))
	if f.Parts > 1 {
		words += fmt.Sprintf(", %d in each of several", f.PerPart)
	}
	return words
}

// alone is how much a message without a header holds, TS 23.040 clause 9.2.3.16.
func alone(f sms.Fit) int {
	if f.InOctets() {
		return 70
	}
	return 160
}

func partsWords(w *message.Written) string {
	if len(w.Parts) == 1 {
		return fmt.Sprintf("1; %d places left", w.Parts[0].Room-w.Parts[0].Units)
	}
	return fmt.Sprintf("%d, each of which is paid", len(w.Parts))
}

func shownWords(e sms.Effect) string {
	words := e.How
	if e.How == sms.HowPlain {
		words = "as written"
	}
	if e.Why != "" {
		words = sourced(words+": "+e.Why, e.Clause)
	}
	return words
}

func costWords(w *message.Written) string {
	c := w.Cost
	words := fmt.Sprintf("%s: %s at %s", c.Once.In(c.Currency), plural(c.Messages, "message"), c.PerPart.In(c.Currency))
	if w.Cheaper != nil {
		words += fmt.Sprintf("; %s with the words below", c.Cheaper.In(c.Currency))
	}
	if c.Every > 0 {
		words += fmt.Sprintf(". One every %s is %d in a month of 31 days, %s: %s", shortTime(c.Every), c.PerMonth, plural(c.MonthParts, "part"), c.Month.Total.In(c.Currency))
		if len(c.Month.Items) > 1 {
			var items []string
			for _, i := range c.Month.Items {
				items = append(items, fmt.Sprintf("%d %s %s", i.Count, i.What, i.Total.In(c.Currency)))
			}
			words += " (" + strings.Join(items, ", ") + ")"
		}
		for _, m := range c.Month.Missing {
			words += "; " + m
		}
	}
	return words
}

// shortTime writes a duration without zero units: "15m", "24h".
func shortTime(d time.Duration) string {
	text := d.String()
	text = strings.TrimSuffix(text, "0s")
	if strings.HasSuffix(text, "h0m") {
		text = strings.TrimSuffix(text, "0m")
	}
	return text
}

func showForcers(out io.Writer, list []message.Forcer) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintf(out, "\n%s outside the default alphabet make the whole text dearer, 70 places a message instead of 160:\n", strings.ToUpper(plural(len(list), "character")[:1])+plural(len(list), "character")[1:])
	for _, f := range list {
		with := "nothing means the same"
		switch {
		case f.Offered && f.Same:
			with = fmt.Sprintf("%q means the same", f.Substitute)
		case f.Offered:
			with = fmt.Sprintf("%q is near", f.Substitute)
		}
		fmt.Fprintf(out, "  %s  U+%04X  %s  %s\n", padded(report.Visible(string(f.Rune)), 2), f.Rune, padded(fmt.Sprintf("%d×, first at octet %d", f.Count, f.At), 24), with)
	}
}

func showParts(out io.Writer, w *message.Written) {
	if len(w.Parts) < 2 {
		return
	}
	fmt.Fprintln(out, "\nThe parts:")
	for i, p := range w.Parts {
		hanging(out, fmt.Sprintf("  %2d  %3d of %3d  ", i+1, p.Units, p.Room), report.Visible(p.Text))
	}
}

func showExchanges(out io.Writer, w *message.Written) {
	fmt.Fprintln(out, "\nWhat goes over the line, each after the answer to the one before (␍ is CR, ␚ Ctrl-Z, ␛ ESC):")
	for i, x := range w.Exchanges {
		fmt.Fprintf(out, "\n  %2d  %s\n", i+1, report.Visible(x.Before+x.Bytes))
		if x.Typed != "" {
			for _, l := range wrapped(report.Visible(x.Typed), textColumns-12) {
				fmt.Fprintf(out, "      > %s\n", l)
			}
		}
		hanging(out, "      wait  ", fmt.Sprintf("%s; at most %d s", x.Expect, (x.LimitMS+999)/1000))
		hanging(out, "      why   ", sourced(x.Why, x.Clause))
	}
}

// wrapped cuts a text that must not change into lines of at most width columns.
func wrapped(text string, width int) []string {
	return strings.Split(ansi.Hardwrap(text, width, true), "\n")
}

func showNotes(out io.Writer, w *message.Written) {
	fmt.Fprintln(out)
	for _, t := range w.Changed {
		hanging(out, "  left out: ", sourced(fmt.Sprintf("octet %d, %s: %s", t.At, t.Had, t.Why), t.Clause))
	}
	for _, n := range w.Notes {
		hanging(out, "  note: ", sourced(n.Text, n.Clause))
	}
	hanging(out, "  careful: ", message.CautionCost)
	hanging(out, "  careful: ", message.CautionAlarm)
}
