// Reads requests from standard input, one JSON object a line, and prints for each what
// two independent writers and readers of short messages make of it, as one line of JSON.
//
//   {"hex": "0011…"}               read a message with its service centre part
//   {"number": "+1…", "text": "…"} write a text as messages to send
//
// Answer: {"first": {…}, "second": {…}}; "first" is node-pdu, "second" node-sms-pdu. What
// a library throws or returns as an error is {"refused": why}.
import { createInterface } from "node:readline";
import { createRequire } from "node:module";

const require = createRequire(import.meta.url);
const { parse, Submit, Deliver, Report } = require("node-pdu");
const smsPdu = require("node-sms-pdu");

function attempt(work) {
  try {
    return work();
  } catch (error) {
    return { refused: String(error && error.message) };
  }
}

// One object of the first library, as plain fields.
function plain(pdu) {
  const out = {
    kind: pdu instanceof Submit ? "SUBMIT" : pdu instanceof Deliver ? "DELIVER" : pdu instanceof Report ? "STATUS-REPORT" : "?",
    smsc: pdu.serviceCenterAddress.phone ?? "",
    address: pdu.address.phone ?? "",
    type: pdu.address.type.getValue(),
  };
  if (pdu instanceof Report) {
    return { ...out, reference: pdu.reference, time: seconds(pdu.dateTime), discharge: seconds(pdu.discharge), status: pdu.status };
  }
  out.pid = pdu.protocolIdentifier.getValue();
  out.dcs = pdu.dataCodingScheme.getValue();
  out.text = pdu.data.getText();
  const header = pdu.data.parts[0]?.header?.toJSON();
  if (header && header.SEGMENTS !== undefined) out.concat = [header.POINTER, header.SEGMENTS, header.CURRENT];
  if (pdu instanceof Submit) {
    out.reference = pdu.messageReference;
    out.periodSeconds = pdu.validityPeriod.interval;
  } else {
    out.time = seconds(pdu.serviceCenterTimeStamp);
    out.zoneMinutes = pdu.serviceCenterTimeStamp.tzOff;
  }
  return out;
}

const seconds = (stamp) => stamp.time; // its ISO text has no quarter hours

function readSecond(hex) {
  const got = smsPdu.parse(hex);
  if (got.error) return { refused: got.error.message };
  return {
    kind: got.type.replace("SMS-", ""),
    smsc: got.smsc ?? "",
    address: got.origination ?? got.destination ?? "",
    text: got.text ?? "",
    concat: got.concat ? [got.concat.reference, got.concat.total, got.concat.sequence] : undefined,
    reference: got.reference,
    period: got.period ?? undefined,
    time: got.timestamp,
  };
}

for await (const line of createInterface({ input: process.stdin })) {
  const request = JSON.parse(line);
  const answer = request.hex
    ? { first: attempt(() => plain(parse(request.hex))), second: attempt(() => readSecond(request.hex)) }
    : {
        first: attempt(() => ({ written: new Submit(request.number, request.text).getPartStrings() })),
        second: attempt(() => ({ written: smsPdu.generateSubmit(request.number, request.text).map((part) => part.hex) })),
      };
  process.stdout.write(JSON.stringify(answer) + "\n");
}
