package tidy

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// root is the top of the checkout, seen from this folder.
const root = "../.."

// modulePath is what our own import paths begin with.
const modulePath = "firstfix/internal/"

// layer is one line of layers.txt.
type layer struct {
	pattern string   // "wire/at" or "judge/rules/..."
	may     []string // patterns
	line    int
}

// fits says whether a package is meant by a pattern.
func fits(pattern, pkg string) bool {
	if folder, ok := strings.CutSuffix(pattern, "/..."); ok {
		return strings.HasPrefix(pkg, folder+"/")
	}
	return pattern == pkg
}

func readLayers(t *testing.T) []layer {
	t.Helper()
	text, err := os.ReadFile("layers.txt")
	if err != nil {
		t.Fatal(err)
	}
	var layers []layer
	for n, line := range strings.Split(string(text), "\n") {
		fields := strings.Fields(line)
		if len(fields) == 0 || strings.HasPrefix(line, "#") {
			continue
		}
		l := layer{pattern: fields[0], line: n + 1}
		if fields[1] != "-" {
			l.may = fields[1:]
		}
		layers = append(layers, l)
	}
	return layers
}

// goFiles calls f for every Go file that is ours, with its path from the top.
func goFiles(t *testing.T, under string, f func(name string)) {
	t.Helper()
	err := filepath.WalkDir(filepath.Join(root, under), func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "testdata") {
			return fs.SkipDir
		}
		if strings.HasSuffix(name, ".go") {
			rel, _ := filepath.Rel(root, name)
			f(filepath.ToSlash(rel))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestLayers holds every import inside the module against layers.txt.
func TestLayers(t *testing.T) {
	layers := readLayers(t)
	goFiles(t, "internal", func(name string) {
		pkg := strings.TrimPrefix(path.Dir(name), "internal/")
		i := slices.IndexFunc(layers, func(l layer) bool { return fits(l.pattern, pkg) })
		if i < 0 {
			t.Errorf("%s: package %s has no line in internal/tidy/layers.txt; say there what it may import", name, pkg)
			return
		}
		file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(root, name), nil, parser.ImportsOnly)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		for _, imported := range file.Imports {
			where, _ := strconv.Unquote(imported.Path.Value)
			other, ours := strings.CutPrefix(where, modulePath)
			if !ours || other == pkg || isExternalTest(name) && allowedInTest(pkg, other) {
				continue
			}
			if !slices.ContainsFunc(layers[i].may, func(p string) bool { return fits(p, other) }) {
				t.Errorf("%s imports %s, which layers.txt line %d does not allow; move the code, or change the law and write down why", name, other, layers[i].line)
			}
		}
	})
}

func isExternalTest(name string) bool { return strings.HasSuffix(name, "_test.go") }

// allowedInTest lets tests use the fixture text: it is how a dialogue is written down.
func allowedInTest(pkg, imported string) bool {
	return imported == "talk/intake" || imported == "tidy/needs" || imported == "talk/capture" && !strings.HasPrefix(pkg, "virtual/")
}

// TestLayersInOrder keeps layers.txt readable from top to bottom.
func TestLayersInOrder(t *testing.T) {
	layers := readLayers(t)
	for i, l := range layers {
		for _, may := range l.may {
			below := slices.IndexFunc(layers[i+1:], func(o layer) bool {
				return o.pattern == may || fits(may, o.pattern) && !fits(may, l.pattern)
			})
			if below >= 0 && !strings.HasSuffix(may, "/...") {
				t.Errorf("layers.txt line %d: %s names %s, which stands below it on line %d", l.line, l.pattern, may, layers[i+1+below].line)
			}
		}
	}
}

// TestEveryPackageSaysWhatItIs wants a package comment that begins "Package name".
func TestEveryPackageSaysWhatItIs(t *testing.T) {
	says := map[string]bool{}
	goFiles(t, "internal", func(name string) {
		if strings.HasSuffix(name, "_test.go") {
			return
		}
		file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(root, name), nil, parser.ParseComments|parser.PackageClauseOnly)
		if err != nil {
			return
		}
		dir := path.Dir(name)
		says[dir] = says[dir] || file.Doc != nil && strings.HasPrefix(file.Doc.Text(), "Package "+file.Name.Name)
	})
	for dir, ok := range says {
		if !ok {
			t.Errorf("%s: no file has a comment that begins \"Package %s …\"; say in one sentence what it is for", dir, path.Base(dir))
		}
	}
}
