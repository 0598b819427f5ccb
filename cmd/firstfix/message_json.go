package main

import (
	"encoding/hex"
	"fmt"
	"strings"

	"firstfix/internal/maybe"
	"firstfix/internal/report"
	"firstfix/internal/script/message"
	"firstfix/internal/wire/sms"
)

// The shapes of docs/formats/message-*.schema.json.

type noteJSON struct {
	Text   string `json:"text"`
	Clause string `json:"clause"`
}

func notesJSON(list []message.Note) []noteJSON {
	out := []noteJSON{}
	for _, n := range list {
		out = append(out, noteJSON{n.Text, n.Clause})
	}
	return out
}

type shownJSON struct {
	Text   string `json:"text"`
	How    string `json:"how"`
	Why    string `json:"why"`
	Clause string `json:"clause"`
}

func effectJSON(e sms.Effect) shownJSON { return shownJSON{e.Shown, e.How, e.Why, e.Clause} }

type blameJSON struct {
	Field   string `json:"field"`
	Value   string `json:"value"`
	Instead string `json:"instead"`
	Why     string `json:"why"`
	Clause  string `json:"clause"`
}

func blamesJSON(list []message.Blame) []blameJSON {
	out := []blameJSON{}
	for _, b := range list {
		out = append(out, blameJSON(b))
	}
	return out
}

type fieldJSON struct {
	Label   string `json:"label"`
	At      int    `json:"at"`
	Length  int    `json:"length"`
	Octets  string `json:"octets"`
	Name    string `json:"name"`
	Value   string `json:"value"`
	Meaning string `json:"meaning"`
	Clause  string `json:"clause"`
}

func fieldsJSON(list []sms.Field) []fieldJSON {
	out := []fieldJSON{}
	for _, l := range report.Legends(list) {
		f := l.Field
		out = append(out, fieldJSON{l.Label, f.At, f.Length, f.Octets, f.Name, f.Value, f.Meaning, f.Clause})
	}
	return out
}

type partJSON struct {
	Text   string `json:"text"`
	From   int    `json:"from"`
	To     int    `json:"to"`
	Units  int    `json:"units"`
	Room   int    `json:"room"`
	PDU    string `json:"pdu"`
	Length int    `json:"length"`
}

type exchangeJSON struct {
	Step    string `json:"step"`
	Send    string `json:"send"`
	SendHex string `json:"sendHex"`
	Text    string `json:"text"`
	TextHex string `json:"textHex"`
	Expect  string `json:"expect"`
	LimitMS int    `json:"limitMS"`
	Why     string `json:"why"`
	Clause  string `json:"clause"`
}

type forcerJSON struct {
	Character  string              `json:"character"`
	At         int                 `json:"at"`
	Count      int                 `json:"count"`
	Substitute maybe.Value[string] `json:"substitute"`
	Same       bool                `json:"same"`
}

type cheaperJSON struct {
	Text  string `json:"text"`
	Parts int    `json:"parts"`
	Same  bool   `json:"same"`
}

type costJSON struct {
	Currency   string     `json:"currency"`
	PerPart    string     `json:"perPart"`
	Messages   int        `json:"messages"`
	Once       string     `json:"once"`
	PerMonth   int        `json:"perMonth"`
	MonthParts int        `json:"monthParts"`
	Month      string     `json:"month"`
	Items      []itemJSON `json:"items"`
	Missing    []string   `json:"missing"`
}

type itemJSON struct {
	What  string `json:"what"`
	Count int    `json:"count"`
	Total string `json:"total"`
}

type writeJSONShape struct {
	Version      int            `json:"version"`
	Text         string         `json:"text"`
	To           []string       `json:"to"`
	Mode         string         `json:"mode"`
	CharacterSet string         `json:"characterSet"`
	Parameters   [4]int         `json:"csmp"`
	Coding       string         `json:"coding"`
	Units        int            `json:"units"`
	Parts        []partJSON     `json:"parts"`
	Exchanges    []exchangeJSON `json:"exchanges"`
	Shown        shownJSON      `json:"shown"`
	Forcers      []forcerJSON   `json:"forcers"`
	Cheaper      *cheaperJSON   `json:"cheaper"`
	Cost         *costJSON      `json:"cost"`
	Notes        []noteJSON     `json:"notes"`
	Cautions     []string       `json:"cautions"`
}

// hexText writes octets as pairs of digits.
func hexText(octets string) string { return strings.ToUpper(hex.EncodeToString([]byte(octets))) }

func writtenJSON(w *message.Written) writeJSONShape {
	out := writeJSONShape{Version: 1, Text: w.Text, Mode: string(w.Mode), CharacterSet: w.CharacterSet, Parameters: w.Parameters, Coding: w.Fit.Coding.Text, Units: w.Fit.Units,
		Shown: effectJSON(w.Shown), Forcers: []forcerJSON{}, Notes: notesJSON(w.Notes), Cautions: []string{message.CautionCost, message.CautionAlarm}}
	for _, n := range w.To {
		out.To = append(out.To, n.Normal)
	}
	for _, p := range w.Parts {
		out.Parts = append(out.Parts, partJSON(p))
	}
	for _, x := range w.Exchanges {
		send := x.Before + x.Bytes
		out.Exchanges = append(out.Exchanges, exchangeJSON{x.Step.Name, send, hexText(send), x.Typed, hexText(x.Typed), x.Expect, x.LimitMS, x.Why, x.Clause})
	}
	for _, f := range w.Forcers {
		j := forcerJSON{Character: string(f.Rune), At: f.At, Count: f.Count, Same: f.Same}
		if f.Offered {
			j.Substitute = maybe.Known(f.Substitute)
		}
		out.Forcers = append(out.Forcers, j)
	}
	if c := w.Cheaper; c != nil {
		out.Cheaper = &cheaperJSON{c.Text, c.Parts, c.Same}
	}
	for _, t := range w.Changed {
		out.Notes = append(out.Notes, noteJSON{fmt.Sprintf("left out at octet %d: %s", t.At, t.Had), t.Clause})
	}
	if c := w.Cost; c != nil {
		out.Cost = &costJSON{Currency: c.Currency, PerPart: c.PerPart.String(), Messages: c.Messages, Once: c.Once.String(), PerMonth: c.PerMonth, MonthParts: c.MonthParts, Items: []itemJSON{}, Missing: append([]string{}, c.Month.Missing...)}
		if c.Every > 0 {
			out.Cost.Month = c.Month.Total.String()
		}
		for _, i := range c.Month.Items {
			out.Cost.Items = append(out.Cost.Items, itemJSON{i.What, i.Count, i.Total.String()})
		}
	}
	return out
}
