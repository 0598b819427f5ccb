package trackfile

import (
	"encoding/json"
	"fmt"
	"io"

	"firstfix/internal/earth/geo"
	"firstfix/internal/earth/track"
)

// maxFenceFile is how much of a file with fences is read.
const maxFenceFile = 16 << 20

// fenceThing is a GeoJSON object as a file of fences needs it.
type fenceThing struct {
	Type        string          `json:"type"`
	Features    []fenceThing    `json:"features"`
	Geometries  []fenceThing    `json:"geometries"`
	Geometry    *fenceThing     `json:"geometry"`
	Coordinates json.RawMessage `json:"coordinates"`
	Properties  struct {
		Name    any `json:"name"`
		RadiusM any `json:"radius_m"`
	} `json:"properties"`
}

// ReadFences reads fences out of GeoJSON: each polygon is one, and each point with the
// property "radius_m" is a circle. The property "name" names it.
func ReadFences(r io.Reader, name string) ([]track.Fence, error) {
	all, err := io.ReadAll(io.LimitReader(r, maxFenceFile+1))
	if err != nil {
		return nil, fmt.Errorf("trackfile: read the fences %s: %w", name, err)
	}
	if len(all) > maxFenceFile {
		return nil, fmt.Errorf("trackfile: fences %s: more than %d bytes", name, maxFenceFile)
	}
	var top fenceThing
	if err := json.Unmarshal(all, &top); err != nil {
		return nil, fmt.Errorf("trackfile: fences %s: want GeoJSON: %w", name, err)
	}
	f := fenceReader{name: name}
	if err := f.thing(&top, "", 0, 0); err != nil {
		return nil, fmt.Errorf("trackfile: fences %s: %w", name, err)
	}
	if len(f.fences) == 0 {
		return nil, fmt.Errorf("trackfile: fences %s: no polygon, and no point with the property radius_m", name)
	}
	return f.fences, nil
}

type fenceReader struct {
	name   string
	fences []track.Fence
}

func (f *fenceReader) thing(t *fenceThing, name string, radiusM float64, depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("nested more than %d deep", maxDepth)
	}
	if text, ok := t.Properties.Name.(string); ok && text != "" {
		name = text
	}
	if m, ok := t.Properties.RadiusM.(float64); ok {
		radiusM = m
	}
	for _, list := range [2][]fenceThing{t.Features, t.Geometries} {
		for i := range list {
			if err := f.thing(&list[i], name, radiusM, depth+1); err != nil {
				return err
			}
		}
	}
	if t.Geometry != nil {
		return f.thing(t.Geometry, name, radiusM, depth+1)
	}
	if name == "" {
		name = fmt.Sprintf("fence %d", len(f.fences)+1)
	}
	fence := track.Fence{Name: name}
	switch t.Type {
	case "Polygon":
		var rings [][][]float64
		if err := json.Unmarshal(t.Coordinates, &rings); err != nil {
			return fmt.Errorf("the polygon of %q: %w", name, err)
		}
		p, err := polygonOf(rings)
		if err != nil {
			return fmt.Errorf("the polygon of %q: %w", name, err)
		}
		fence.Polygons = []track.Polygon{p}
	case "MultiPolygon":
		var polygons [][][][]float64
		if err := json.Unmarshal(t.Coordinates, &polygons); err != nil {
			return fmt.Errorf("the polygons of %q: %w", name, err)
		}
		for _, rings := range polygons {
			p, err := polygonOf(rings)
			if err != nil {
				return fmt.Errorf("the polygons of %q: %w", name, err)
			}
			fence.Polygons = append(fence.Polygons, p)
		}
	case "Point":
		if radiusM == 0 {
			return nil
		}
		var at []float64
		if err := json.Unmarshal(t.Coordinates, &at); err != nil || len(at) < 2 {
			return fmt.Errorf("the middle of %q: want longitude and latitude", name)
		}
		fence.Centre, fence.RadiusM = geo.Point{LatDeg: at[1], LonDeg: at[0]}, radiusM
	default:
		return nil
	}
	f.fences = append(f.fences, fence)
	return nil
}

func polygonOf(rings [][][]float64) (p track.Polygon, err error) {
	for _, ring := range rings {
		var points []geo.Point
		for _, at := range ring {
			if len(at) < 2 {
				return nil, fmt.Errorf("a position of %d numbers: want longitude and latitude", len(at))
			}
			points = append(points, geo.Point{LatDeg: at[1], LonDeg: at[0]})
		}
		p = append(p, points)
	}
	return p, nil
}
