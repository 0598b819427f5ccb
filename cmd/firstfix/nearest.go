package main

// nearest returns the candidate with the fewest single-letter changes from name.
// Ties go to the earlier one.
func nearest(name string, candidates []string) string {
	best, bestAway := "", 1<<30
	for _, c := range candidates {
		if away := lettersAway(name, c); away < bestAway {
			best, bestAway = c, away
		}
	}
	return best
}

// lettersAway counts the insertions, deletions and changes of a letter that turn a into b.
func lettersAway(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := diagonal
			if a[i-1] != b[j-1] {
				change++
			}
			diagonal = row[j]
			row[j] = min(change, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
