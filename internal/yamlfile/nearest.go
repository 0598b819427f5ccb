package yamlfile

// Nearest returns the name that needs the fewest changed letters to become word,
// "" when none is within a third of its length: then a guess only misleads.
func Nearest(word string, names []string) string {
	best, bestCost := "", (len(word)+1)/3+1
	for _, n := range names {
		if cost := distance(word, n); cost < bestCost {
			best, bestCost = n, cost
		}
	}
	return best
}

// longestName is how long a name may be to be compared; ours have a dozen letters.
const longestName = 64

// distance is the number of letters to change, add, drop or swap (neighbours) from a to b.
func distance(a, b string) int {
	if len(a) > longestName || len(b) > longestName {
		return longestName
	}
	var rows [3][longestName + 1]int
	before, last, this := &rows[0], &rows[1], &rows[2]
	for j := range len(b) + 1 {
		last[j] = j
	}
	for i := range len(a) {
		this[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			this[j+1] = min(last[j]+cost, last[j+1]+1, this[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				this[j+1] = min(this[j+1], before[j-1]+1)
			}
		}
		before, last, this = last, this, before
	}
	return last[len(b)]
}
