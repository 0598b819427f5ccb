// Package needs lets a test say what it needs from outside: a browser, node, an
// installed oracle. Only tests import it.
//
// # What it promises
//
// Where the thing is missing the test is skipped and says why. After ./test.sh
// has installed everything (it sets FIRSTFIX_ALL_TOOLS) nothing may be missing
// any more: the test fails instead, so that no check is lost in silence.
package needs

import (
	"os"
	"testing"
)

// Something skips the test, or fails it where everything should be installed.
// what says what is missing and how to get it.
func Something(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("FIRSTFIX_ALL_TOOLS") != "" {
		t.Fatalf("%s; ./test.sh should have installed it", what)
	}
	t.Skip(what)
}
