package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"firstfix/internal/script/message"
	"firstfix/internal/talk/intake"

	"github.com/spf13/cobra"
)

const messageReadHelp = `
Read messages: PDUs in hex, lines as a module prints them in text mode, or a whole
recording, from which every message is picked. Every field is put into words with its octet
and its source; long texts are put together, out of order and with copies; and if a text
would show blank, garbled or only flash, it is said where the blame lies.

An argument of hex digits is a PDU; one that begins with +CMT, +CMGR, +CMGL or +CDS is a
printed message with its lines; any other is a file. "-", or nothing, is standard input.

Texts and numbers are shown as they are: that is what is asked for. The page of --report
hides them, unless --show-private is given.`

type messageReadOptions struct {
	kind        string
	fields      bool
	sent        bool
	arrived     bool
	wait        string
	report      string
	showPrivate bool
	json        bool
}

func messageReadCommand(s *streams) *cobra.Command {
	var o messageReadOptions
	c := &cobra.Command{
		Use:   "read [PDU|LINES|FILE...]",
		Short: "read messages field by field, and say why one shows blank",
		Long:  exits(messageReadHelp, exit{statusFound, "a message is broken, or would not show as it was meant"}, exit{statusCannot, "there is nothing to read, or it cannot be read"}),
		Example: `  firstfix message read 0011000B912120550521F30008A70C041F04400438043204350442
  firstfix message read night.capture
  firstfix message read night.capture --fields --report texts.html`,
		RunE: func(c *cobra.Command, args []string) error { return runMessageRead(c.Context(), s, o, args) },
	}
	f := c.Flags()
	f.StringVar(&o.kind, "kind", "", "say what a file is instead of letting it be found out: capture, stamped, window, talk")
	f.BoolVar(&o.fields, "fields", false, "show every field of each message of a recording; a single PDU is always shown so")
	f.BoolVar(&o.sent, "sent", false, "the PDU is one that is sent; otherwise it is found out")
	f.BoolVar(&o.arrived, "arrived", false, "the PDU is one that arrived; otherwise it is found out")
	f.StringVar(&o.wait, "wait", "15m", "how long the parts of a long text are waited for")
	f.StringVar(&o.report, "report", "", "also write one self-contained HTML page with the octets drawn")
	f.BoolVar(&o.showPrivate, "show-private", false, "show numbers and texts on that page")
	f.BoolVar(&o.json, "json", false, "write JSON (docs/formats/message-read.schema.json)")
	c.MarkFlagsMutuallyExclusive("sent", "arrived")
	return c
}

// minPDU is how many hex digits make a PDU rather than a word: the shortest message
// has some eight octets.
const minPDU = 12

func runMessageRead(ctx context.Context, s *streams, o messageReadOptions, args []string) error {
	wait, err := period("wait", o.wait)
	if err != nil {
		return err
	}
	if len(args) == 0 {
		args = []string{"-"}
	}
	sink, err := newMessageSink(s, o, wait)
	if err != nil {
		return err
	}
	for _, arg := range args {
		if err := o.readOne(ctx, s, sink, arg); err != nil {
			sink.close()
			return err
		}
	}
	if err := sink.close(); err != nil {
		return err
	}
	switch {
	case sink.messages == 0:
		return &stop{Status: statusCannot, Err: errors.New("there is no message in it"),
			Hints: []string{"a PDU is hex digits; a printed message begins with +CMT, +CMGR, +CMGL or +CDS", "firstfix explain puts any other line into words"}}
	case sink.bad:
		return &stop{Status: statusFound}
	}
	return nil
}

// readOne reads one argument.
func (o *messageReadOptions) readOne(ctx context.Context, s *streams, sink *messageSink, arg string) error {
	head, body, _ := strings.Cut(strings.ReplaceAll(arg, "\r\n", "\n"), "\n")
	if _, isHead := message.HasHead(head); isHead {
		m, _ := message.ReadLine(head, strings.TrimRight(body, "\r\n"), message.Settings{})
		sink.show(placed{}, m)
		return nil
	}
	if isPDU(arg) {
		sink.full = true
		sink.show(placed{}, o.pdu(arg))
		return nil
	}
	var in io.Reader = s.In
	if arg != "-" {
		f, err := os.Open(arg)
		if err != nil {
			return &stop{Status: statusCannot, Err: err, Hints: []string{"a PDU is an even number of hex digits and nothing else"}}
		}
		defer f.Close()
		in = f
	}
	b := bufio.NewReaderSize(in, 64<<10)
	if begin, _ := b.Peek(64 << 10); allPDUs(begin) {
		return o.readHexLines(sink, b)
	}
	src, err := intake.Open(b, arg, intake.Options{Kind: o.kind})
	if err != nil {
		var unreadable *intake.Unreadable
		if errors.As(err, &unreadable) {
			return &stop{Status: statusCannot, Err: err, Hints: hintsOf(unreadable.Hint)}
		}
		return &stop{Status: statusCannot, Err: err}
	}
	return sink.recording(ctx, src)
}

// pdu reads one PDU as the flags say.
func (o *messageReadOptions) pdu(hex string) *message.Message {
	if o.sent || o.arrived {
		return message.ReadPDU(hex, o.sent, 0)
	}
	return message.Read(hex)
}

// isPDU says whether an argument is a PDU: hex digits, maybe with blanks between.
func isPDU(text string) bool {
	text = strings.Join(strings.Fields(text), "")
	return len(text) >= minPDU && strings.Trim(text, "0123456789ABCDEFabcdef") == ""
}

// allPDUs says whether a file's beginning is lines of hex, each a PDU.
func allPDUs(begin []byte) bool {
	lines := bytes.Split(begin, []byte("\n"))
	if len(begin) == 64<<10 {
		lines = lines[:len(lines)-1]
	}
	n := 0
	for _, l := range lines {
		if l = bytes.TrimSpace(l); len(l) == 0 {
			continue
		}
		if !isPDU(string(l)) {
			return false
		}
		n++
	}
	return n > 0
}

// readHexLines reads one PDU a line.
func (o *messageReadOptions) readHexLines(sink *messageSink, in io.Reader) error {
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, 64<<10)
	n := 0
	sink.full = true
	for lines.Scan() {
		n++
		if line := strings.TrimSpace(lines.Text()); line != "" {
			sink.show(placed{source: n}, o.pdu(line))
			sink.full = o.fields
		}
	}
	if err := lines.Err(); err != nil {
		return &stop{Status: statusCannot, Err: fmt.Errorf("line %d: %w", n+1, err)}
	}
	return nil
}
