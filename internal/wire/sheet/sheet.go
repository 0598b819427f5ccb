// Package sheet says how one module spells the duties the standards leave to vendors.
//
// # What it promises
//
// A [Sheet] is read from YAML (docs/formats/sheet.md). An unknown key is an
// error with file, line, column and the nearest known key. Two sheets are
// built in: "standard" holds what 3GPP TS 27.007 offers, "demo" an invented
// module with invented commands.
//
// # Where to start
//
// Read [Sheet] and demo.yaml.
package sheet
