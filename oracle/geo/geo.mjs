// Reads one question a line from standard input and prints one answer a line:
//   inverse LAT1 LON1 LAT2 LON2   ->  distance azimuth1 azimuth2
//   direct LAT LON AZIMUTH METRES ->  latitude longitude azimuth2
//   utm ZONE LAT LON              ->  easting northing (no false northing in the south)
//   mgrs LAT LON                  ->  reference with five digits each way
// All numbers in degrees and metres, with all their digits.
import { createInterface } from "node:readline";
import geodesic from "geographiclib-geodesic";
import mgrs from "mgrs";
import proj4 from "proj4";

const earth = geodesic.Geodesic.WGS84;

const answers = {
  inverse(lat1, lon1, lat2, lon2) {
    const r = earth.Inverse(lat1, lon1, lat2, lon2);
    return [r.s12, r.azi1, r.azi2];
  },
  direct(lat, lon, azimuth, metres) {
    const r = earth.Direct(lat, lon, azimuth, metres);
    return [r.lat2, r.lon2, r.azi2];
  },
  utm(zone, lat, lon) {
    // approx is off by default: the exact form is the one to compare with.
    return proj4(`+proj=etmerc +lon_0=${6 * zone - 183} +k=0.9996 +x_0=500000 +ellps=WGS84`, [lon, lat]);
  },
  mgrs(lat, lon) {
    return [mgrs.forward([lon, lat], 5)];
  },
};

for await (const line of createInterface({ input: process.stdin })) {
  const [question, ...numbers] = line.split(" ");
  process.stdout.write(answers[question](...numbers.map(Number)).join(" ") + "\n");
}
