// Package sms spells short messages: text mode parameters, PDUs, alphabets, parts.
//
// # What it promises
//
// 3GPP TS 23.040 and 23.038, both ways. A decoder returns all it could read,
// the octet at which it stopped, and the clause that says why. Nothing is lost:
// unknown elements are kept as bytes.
//
// # Where to start
//
// Read [Decode] and [Submit].
package sms
