// Reads one question a line from standard input, as JSON, and prints one answer a line:
//   {"gpx": TEXT} or {"kml": TEXT}       ->  [[lon, lat, time or null], …] in order, by togeojson
//   {"geojson": TEXT}                    ->  [message, …] of check-geojson; none when it is right
//   {"inside": [[lon, lat], …], "of": G} ->  [true or false, …], by turf
import { createInterface } from "node:readline";
import { gpx, kml } from "@tmcw/togeojson";
import { check, HintError } from "@placemarkio/check-geojson";
import { booleanPointInPolygon } from "@turf/boolean-point-in-polygon";
import { DOMParser } from "@xmldom/xmldom";

function positions(collection) {
  const out = [];
  for (const f of collection.features) {
    const g = f.geometry;
    if (!g) continue;
    const p = f.properties ?? {};
    const times = p.coordinateProperties?.times ?? [];
    if (g.type === "Point") out.push([...g.coordinates.slice(0, 2), p.timestamp ?? p.time ?? null]);
    if (g.type === "LineString") g.coordinates.forEach((c, i) => out.push([c[0], c[1], times[i] ?? null]));
    if (g.type === "MultiLineString")
      g.coordinates.forEach((line, k) => line.forEach((c, i) => out.push([c[0], c[1], times[k]?.[i] ?? null])));
  }
  return out;
}

function problems(text) {
  try {
    check(text);
    return [];
  } catch (e) {
    return e instanceof HintError ? e.issues.map((i) => i.message) : [String(e)];
  }
}

function answer(q) {
  const parse = (text) => new DOMParser().parseFromString(text, "text/xml");
  if (q.gpx !== undefined) return positions(gpx(parse(q.gpx)));
  if (q.kml !== undefined) {
    const all = kml(parse(q.kml));
    all.features = all.features.filter((f) => f.geometry?.type === "Point"); // the lines repeat them
    return positions(all);
  }
  if (q.geojson !== undefined) return problems(q.geojson);
  return q.inside.map((p) => booleanPointInPolygon(p, q.of));
}

for await (const line of createInterface({ input: process.stdin })) {
  process.stdout.write(JSON.stringify(answer(JSON.parse(line))) + "\n");
}
