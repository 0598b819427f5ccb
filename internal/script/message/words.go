package message

import "fmt"

// counted writes a number of things: "1 part", "3 parts".
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
