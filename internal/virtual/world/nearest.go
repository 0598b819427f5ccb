package world

// nearest returns the word that takes the fewest edits to become got, and ""
// when none is near enough to be meant.
func nearest(got string, words []string) string {
	best, bestDistance := "", len(got)/2+2
	for _, w := range words {
		if d := editDistance(got, w); d < bestDistance {
			best, bestDistance = w, d
		}
	}
	return best
}

// editDistance counts the insertions, deletions and replacements between a and
// b (Levenshtein's distance), with one row of memory.
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
