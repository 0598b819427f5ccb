// Reads sentences from standard input, one a line, and prints for each what an
// independent reader makes of it, as one line of JSON: its record, or {"refused": why}.
//
// Times are printed as [hours, minutes, seconds, milliseconds] UTC, with
// [year, month, day] before them where the sentence has a date: the reader stamps
// today's date on times that have none, which says nothing.
import { createInterface } from "node:readline";
import { GPS } from "gps";

const dated = new Set(["RMC", "ZDA"]);

function clock(at, withDate) {
  const time = [at.getUTCHours(), at.getUTCMinutes(), at.getUTCSeconds(), at.getUTCMilliseconds()];
  return withDate ? [at.getUTCFullYear(), at.getUTCMonth() + 1, at.getUTCDate(), ...time] : time;
}

function read(line) {
  try {
    const record = GPS.Parse(line);
    if (record === false) return { refused: "not a sentence" };
    if (record.time instanceof Date) record.time = clock(record.time, dated.has(record.type));
    return record;
  } catch (error) {
    return { refused: error.message };
  }
}

for await (const line of createInterface({ input: process.stdin })) {
  process.stdout.write(JSON.stringify(read(line)) + "\n");
}
