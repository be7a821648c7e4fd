package document

import "strings"

// Nearest is the known name that a misspelt one most likely means, or "".
func Nearest(name string, known []string) string {
	if len(name) > 64 {
		return ""
	}
	best, limit := "", 1+len(name)/3
	for _, k := range known {
		if d := distance(strings.ToLower(name), strings.ToLower(k)); d <= limit && d < len(name) {
			best, limit = k, d-1
		}
	}
	return best
}

// Instead says at the end of a message what to write instead of a name that is not
// known: the nearest, or which there are.
func Instead(name, there string, known []string) string {
	if near := Nearest(name, known); near != "" {
		return "; did you mean \"" + near + "\"?"
	}
	if len(known) == 0 {
		return "; the rules define none"
	}
	return "; " + there + " " + strings.Join(known, ", ")
}

// distance is the number of letters to insert, remove, replace or swap with their
// neighbour (optimal string alignment).
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(s)][len(t)]
}
