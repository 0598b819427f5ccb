package sky

import "math"

// DOP is the dilution of precision: how much a range error grows into an error
// of position and time through the satellites' arrangement.
type DOP struct{ G, P, H, V, T float64 }

// Geometry solves for position and time: rows of east, north, up and clock,
// one for each satellite used.
type Geometry struct {
	rows  [][4]float64
	q     [4][4]float64 // inverse of A'A
	Valid bool
}

// NewGeometry prepares the arrangement of some satellites. Valid is false with
// fewer than four, or when they do not fix height and time (all at one elevation).
func NewGeometry(used []Look, rows [][4]float64) Geometry {
	g := Geometry{rows: rows[:0]}
	var normal [4][4]float64
	for _, l := range used {
		sinE, cosE := math.Sincos(l.ElevationDeg * math.Pi / 180)
		sinA, cosA := math.Sincos(l.AzimuthDeg * math.Pi / 180)
		row := [4]float64{sinA * cosE, cosA * cosE, sinE, 1}
		g.rows = append(g.rows, row)
		for i := range 4 {
			for j := range 4 {
				normal[i][j] += row[i] * row[j]
			}
		}
	}
	if len(used) >= 4 {
		g.q, g.Valid = invert(normal)
	}
	return g
}

// DOP returns the dilutions; meaningless unless Valid.
func (g *Geometry) DOP() DOP {
	e, n, u, t := g.q[0][0], g.q[1][1], g.q[2][2], g.q[3][3]
	return DOP{G: math.Sqrt(e + n + u + t), P: math.Sqrt(e + n + u), H: math.Sqrt(e + n), V: math.Sqrt(u), T: math.Sqrt(t)}
}

// Offset returns how far range errors (metres, in the order of the satellites)
// push a least-squares position: east, north, up.
func (g *Geometry) Offset(rangeErrorsM []float64) (eastM, northM, upM float64) {
	var b [4]float64
	for k, row := range g.rows {
		for i := range 4 {
			b[i] += row[i] * rangeErrorsM[k]
		}
	}
	var x [3]float64
	for i := range 3 {
		for j := range 4 {
			x[i] += g.q[i][j] * b[j]
		}
	}
	return x[0], x[1], x[2]
}

// invert inverts a symmetric matrix by Gauss's elimination with the largest
// pivot. False when it is singular to working precision.
func invert(m [4][4]float64) (inverse [4][4]float64, ok bool) {
	for i := range 4 {
		inverse[i][i] = 1
	}
	for column := range 4 {
		pivot := column
		for r := column + 1; r < 4; r++ {
			if math.Abs(m[r][column]) > math.Abs(m[pivot][column]) {
				pivot = r
			}
		}
		if math.Abs(m[pivot][column]) < 1e-9 {
			return inverse, false
		}
		m[column], m[pivot] = m[pivot], m[column]
		inverse[column], inverse[pivot] = inverse[pivot], inverse[column]
		scale := 1 / m[column][column]
		for j := range 4 {
			m[column][j] *= scale
			inverse[column][j] *= scale
		}
		for r := range 4 {
			if r == column {
				continue
			}
			factor := m[r][column]
			for j := range 4 {
				m[r][j] -= factor * m[column][j]
				inverse[r][j] -= factor * inverse[column][j]
			}
		}
	}
	return inverse, true
}

// Rows returns the matrix of directions, for its memory to be used again.
func (g *Geometry) Rows() [][4]float64 { return g.rows }
