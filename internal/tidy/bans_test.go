package tidy

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// bannedImports are packages with hands. Only edge/ and cmd/ may have them.
var bannedImports = []struct{ prefix, instead string }{
	{"os", "take an io.Reader, an io.Writer or bytes as an argument"},
	{"net", "let edge/line hold the socket"},
	{"syscall", "let edge/ talk to the system"},
	{"database/sql", "let edge/ hold the database"},
	{"unsafe", "copy the bytes; or, in wire/nmea alone, see docs/decisions"},
	{"math/rand", "take a *rand.Rand of math/rand/v2 as an argument"},
	{"log", "return what follows; let the caller print"},
}

// unsafeAllowed is the one place that may look at bytes as words.
const unsafeAllowed = "internal/wire/nmea/"

// bannedCalls are hidden clocks, hidden chance and sleep.
var bannedCalls = []struct{ pkg, names, instead string }{
	{"time", "Now Since Until Sleep After AfterFunc NewTimer NewTicker Tick", "take a when.Instant as an argument"},
	{"rand", "Int IntN Int32 Int32N Int64 Int64N Uint32 Uint32N Uint64 Uint64N Uint Float32 Float64 NormFloat64 ExpFloat64 Perm Shuffle N", "take a *rand.Rand as an argument: the seed decides everything"},
}

// complaints returns what a pure file must not contain. It is a function of the
// text so that it can be tested itself.
func complaints(name, source string) []string {
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, name, source, 0)
	if err != nil {
		return []string{err.Error()}
	}
	var found []string
	say := func(at token.Pos, what, instead string) {
		found = append(found, fset.Position(at).String()+": "+what+" in pure code; "+instead)
	}
	for _, imported := range file.Imports {
		where, _ := strconv.Unquote(imported.Path.Value)
		for _, ban := range bannedImports {
			if where != ban.prefix && !strings.HasPrefix(where, ban.prefix+"/") || where == "math/rand/v2" {
				continue
			}
			if where == "unsafe" && strings.HasPrefix(name, unsafeAllowed) {
				continue
			}
			say(imported.Pos(), "import "+where, ban.instead)
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			say(n.Pos(), "a go statement", "return what follows; goroutines live in edge/")
		case *ast.FuncDecl:
			if n.Recv == nil && n.Name.Name == "init" {
				say(n.Pos(), "func init", "list it in the explicit list")
			}
		case *ast.CallExpr:
			selector, ok := n.Fun.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			pkg, ok := selector.X.(*ast.Ident)
			if !ok || pkg.Obj != nil {
				return true
			}
			for _, ban := range bannedCalls {
				if pkg.Name == ban.pkg && contains(ban.names, selector.Sel.Name) {
					say(n.Pos(), pkg.Name+"."+selector.Sel.Name, ban.instead)
				}
			}
		}
		return true
	})
	return found
}

func contains(names, name string) bool {
	for _, n := range strings.Fields(names) {
		if n == name {
			return true
		}
	}
	return false
}

// TestPureCodeHasNoHands reads every file outside edge/ and tidy/.
func TestPureCodeHasNoHands(t *testing.T) {
	goFiles(t, "internal", func(name string) {
		if strings.HasPrefix(name, "internal/edge/") || strings.HasPrefix(name, "internal/tidy/") || strings.HasSuffix(name, "_test.go") {
			return
		}
		for _, complaint := range complaints(name, readFile(t, filepath.Join(root, name))) {
			t.Error(complaint)
		}
	})
}

// TestBansBite proves that each ban would be noticed.
func TestBansBite(t *testing.T) {
	for _, source := range []string{
		`package p; import "os"; var _ = os.Args`,
		`package p; import "net/http"; var _ http.Client`,
		`package p; import "math/rand"; var _ = rand.Int()`,
		`package p; import "time"; var _ = time.Now()`,
		`package p; import "math/rand/v2"; var _ = rand.IntN(3)`,
		`package p; func f() { go f() }`,
		`package p; func init() {}`,
		`package p; import "unsafe"; var _ unsafe.Pointer`,
	} {
		if len(complaints("p.go", source)) == 0 {
			t.Errorf("nobody complains about: %s", source)
		}
	}
	for _, source := range []string{
		`package p; import "time"; func f(t time.Time) time.Duration { return time.Second }`,
		`package p; import "math/rand/v2"; func f(r *rand.Rand) int { return r.IntN(3) }`,
		`package p; type clock struct{}; func (clock) Now() int { return 0 }; func f(time clock) int { return time.Now() }`,
	} {
		if found := complaints("p.go", source); len(found) > 0 {
			t.Errorf("a false complaint about %s: %s", source, found)
		}
	}
}
