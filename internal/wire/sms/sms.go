// Package sms spells short messages: alphabets, PDUs, text mode parameters, parts.
//
// # What it promises
//
// 3GPP TS 23.040 and 23.038, both ways: the six message types of the transfer
// layer, every alphabet and national table, headers, long messages. A decoder
// returns all it could read, the octet at which it stopped and the clause that
// says why. Nothing is lost: what is not understood is kept as octets.
//
// # What it leaves to others
//
// It knows how a message is spelled, not whether it was wise: the commands that
// carry it are wire/at's, judging is the work of judge/rules.
//
// # Where to start
//
// Read [Decode] and [Submit.Encode]; [Measure] for what a text will cost,
// [Workshop] for what a handset will show, [Anatomy] for every octet of a PDU.
package sms
