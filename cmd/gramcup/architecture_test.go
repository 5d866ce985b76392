package main

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The rules of the tree, each with its reason. A rule that only stands in
// prose is forgotten by the third change; one that fails a test is not.

const root = "../.."

// budgets of size, in lines. They are never raised for one file: when a file
// grows fat, the design wants another room.
const (
	functionLines = 60
	fileLines     = 400
	codecLines    = 200
)

// never lists what a package must not import directly, and why.
var never = []struct {
	pkg, what, why string
}{
	{"gramcup/scale", "os net net/http database/sql log log/slog", "a line is replayed and fuzzed, so a codec touches nothing"},
	{"gramcup/scale", "gramcup/mix gramcup/ui gramcup/simulator go.bug.st/serial", "values lie at the bottom"},
	{"gramcup/scale/port", "gramcup/mix gramcup/ui gramcup/simulator database/sql", "a port does not know what is poured"},
	{"gramcup/mix", "os net net/http database/sql log log/slog sync context gramcup/scale/port gramcup/ui gramcup/simulator", "a batch is folded from the book, so it must not wait, write or log"},
	{"gramcup/mix/book", "gramcup/mix/bench gramcup/ui gramcup/scale/port gramcup/simulator net/http", "the book keeps, it does not decide or show"},
	{"gramcup/mix/bench", "gramcup/mix/book gramcup/ui gramcup/scale/port gramcup/simulator database/sql net/http modernc.org/sqlite github.com/prometheus/client_golang/prometheus", "disk, network and metrics come through small interfaces"},
	{"gramcup/ui", "gramcup/mix/book gramcup/scale/port gramcup/simulator database/sql modernc.org/sqlite", "they are given by interface"},
	{"gramcup/simulator", "gramcup/mix gramcup/mix/bench gramcup/mix/book gramcup/ui gramcup/scale/port", "a simulator that knows the rules hides their bugs"},
}

// noClock lists the packages that get time as data: with a clock inside, a
// batch could not be replayed.
var noClock = []string{"scale", "mix"}

// allowedTop is everything that may lie at the top of the tree.
const allowedTop = ".ci .git .gitattributes .gitignore DEVELOPERS.md LICENSE README.md cmd go.mod go.sum mix scale simulator testdata ui"

type listed struct {
	ImportPath string
	Imports    []string
	Standard   bool
}

func listPackages(t *testing.T) (own map[string]listed, all map[string]bool) {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports,Standard", "gramcup/...").Output()
	require.NoError(t, err)
	own, all = map[string]listed{}, map[string]bool{}
	d := json.NewDecoder(strings.NewReader(string(out)))
	for d.More() {
		var p listed
		require.NoError(t, d.Decode(&p))
		all[p.ImportPath] = true
		if strings.HasPrefix(p.ImportPath, "gramcup/") {
			own[p.ImportPath] = p
		}
	}
	return own, all
}

func TestImportRules(t *testing.T) {
	own, all := listPackages(t)
	for _, rule := range never {
		p, ok := own[rule.pkg]
		require.True(t, ok, "the rules name %s, which does not exist", rule.pkg)
		for _, forbidden := range strings.Fields(rule.what) {
			require.True(t, all[forbidden] || isStandard(forbidden), "the rules forbid %s, which nothing here imports any more: is it called otherwise now?", forbidden)
			require.NotContains(t, p.Imports, forbidden, "%s must not import %s: %s", rule.pkg, forbidden, rule.why)
		}
	}
}

func isStandard(pkg string) bool {
	return !strings.Contains(pkg, ".") && !strings.HasPrefix(pkg, "gramcup")
}

// TestScaleIsStandardLibraryOnly keeps the bottom free of dependencies.
func TestScaleIsStandardLibraryOnly(t *testing.T) {
	own, _ := listPackages(t)
	for _, pkg := range []string{"gramcup/scale", "gramcup/mix"} {
		for _, imp := range own[pkg].Imports {
			require.True(t, isStandard(imp) || strings.HasPrefix(imp, "gramcup/"), "%s must not import %s: values stay free of dependencies", pkg, imp)
		}
	}
}

func TestTopLevel(t *testing.T) {
	out, err := exec.Command("git", "-C", root, "ls-files").Output()
	require.NoError(t, err)
	for _, path := range strings.Fields(string(out)) {
		top, _, _ := strings.Cut(path, "/")
		require.Contains(t, strings.Fields(allowedTop), top, "%s lies at the top of the tree, where only these belong: %s", top, allowedTop)
	}
}

// goFile is one parsed file of the tree.
type goFile struct {
	path string // from the root
	fset *token.FileSet
	ast  *ast.File
	size int
}

func goFiles(t *testing.T) []goFile {
	t.Helper()
	var files []goFile
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() && strings.HasPrefix(d.Name(), ".") && d.Name() != ".." {
			if err == nil {
				err = filepath.SkipDir
			}
			return err
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, path, text, parser.ParseComments)
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(root, path)
		files = append(files, goFile{path: filepath.ToSlash(rel), fset: fset, ast: f, size: strings.Count(string(text), "\n")})
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, len(files), 50, "the walk must see the tree")
	return files
}

func isTest(path string) bool { return strings.HasSuffix(path, "_test.go") }

func TestSizes(t *testing.T) {
	for _, f := range goFiles(t) {
		limit := fileLines
		if isCodec(f) {
			limit = codecLines
		}
		if f.size > limit {
			t.Errorf("%s has %d lines, at most %d are allowed: find it another room", f.path, f.size, limit)
		}
		if isTest(f.path) {
			continue
		}
		for _, d := range f.ast.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			lines := f.fset.Position(fn.End()).Line - f.fset.Position(fn.Pos()).Line + 1
			if lines > functionLines {
				t.Errorf("%s: %s has %d lines, at most %d are allowed: a function fits a glance", f.path, fn.Name.Name, lines, functionLines)
			}
		}
	}
}

// isCodec finds the files that decode a family of lines.
func isCodec(f goFile) bool {
	if filepath.Dir(f.path) != "scale" || isTest(f.path) {
		return false
	}
	for _, d := range f.ast.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv != nil && fn.Name.Name == "Decode" {
			return true
		}
	}
	return false
}

func TestEverythingExportedIsDocumented(t *testing.T) {
	packageDoc := map[string]bool{}
	for _, f := range goFiles(t) {
		if isTest(f.path) {
			continue
		}
		dir := filepath.Dir(f.path)
		packageDoc[dir] = packageDoc[dir] || f.ast.Doc != nil
		for _, d := range f.ast.Decls {
			for _, name := range undocumented(d) {
				t.Errorf("%s: %s is exported and has no comment: say its shape, units and errors", f.path, name)
			}
		}
	}
	for dir, has := range packageDoc {
		if !has {
			t.Errorf("package in %s has no package comment", dir)
		}
	}
}

func undocumented(d ast.Decl) []string {
	var names []string
	switch d := d.(type) {
	case *ast.FuncDecl:
		exportedType := d.Recv == nil || ast.IsExported(receiver(d))
		if d.Name.IsExported() && exportedType && d.Doc == nil && !groupedMethod(d) {
			names = append(names, d.Name.Name)
		}
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				if s.Name.IsExported() && d.Doc == nil && s.Doc == nil {
					names = append(names, s.Name.Name)
				}
			case *ast.ValueSpec:
				for _, n := range s.Names {
					if n.IsExported() && d.Doc == nil && s.Doc == nil && s.Comment == nil {
						names = append(names, n.Name)
					}
				}
			}
		}
	}
	return names
}

// groupedMethod forgives one-line methods that only make a type fit an
// interface and stand in a group with a comment above: events and their names.
func groupedMethod(d *ast.FuncDecl) bool { return d.Recv != nil && d.Name.Name == "Type" }

func receiver(d *ast.FuncDecl) string {
	t := d.Recv.List[0].Type
	if p, ok := t.(*ast.StarExpr); ok {
		t = p.X
	}
	if g, ok := t.(*ast.IndexExpr); ok {
		t = g.X
	}
	if id, ok := t.(*ast.Ident); ok {
		return id.Name
	}
	return ""
}

func TestNoHiddenState(t *testing.T) {
	for _, f := range goFiles(t) {
		if isTest(f.path) {
			continue
		}
		for _, d := range f.ast.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil && d.Name.Name == "init" {
					t.Errorf("%s has an init(): its order is invisible, call it from where it is needed", f.path)
				}
			case *ast.GenDecl:
				if d.Tok == token.VAR {
					checkVars(t, f, d)
				}
			}
		}
	}
}

// checkVars lets through constant tables, errors, embedded files and proofs
// that a type fits an interface.
func checkVars(t *testing.T, f goFile, d *ast.GenDecl) {
	for _, s := range d.Specs {
		v := s.(*ast.ValueSpec)
		embedded := d.Doc != nil && strings.Contains(d.Doc.List[len(d.Doc.List)-1].Text, "go:embed")
		if v.Names[0].Name == "_" || embedded {
			continue
		}
		for i, n := range v.Names {
			if i >= len(v.Values) || !isTable(v.Values[i]) {
				t.Errorf("%s: package variable %s is no constant table and no error: state belongs to a value that somebody owns", f.path, n.Name)
			}
		}
	}
}

func isTable(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.CompositeLit:
		return true
	case *ast.CallExpr:
		name := ""
		if sel, ok := e.Fun.(*ast.SelectorExpr); ok {
			if x, ok := sel.X.(*ast.Ident); ok {
				name = x.Name + "." + sel.Sel.Name
			}
		}
		return name == "errors.New" || name == "fmt.Errorf"
	}
	return false
}

func TestTimeEntersAsData(t *testing.T) {
	for _, f := range goFiles(t) {
		inside := false
		for _, dir := range noClock {
			inside = inside || filepath.Dir(f.path) == dir
		}
		if !inside || isTest(f.path) {
			continue
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				x, ok := sel.X.(*ast.Ident)
				clock := "Now Since Sleep After NewTimer NewTicker Tick Until"
				if ok && x.Name == "time" && slices.Contains(strings.Fields(clock), sel.Sel.Name) {
					t.Errorf("%s uses time.%s: time enters here as data, so that a batch can be replayed", f.path, sel.Sel.Name)
				}
			}
			return true
		})
	}
}

// TestNoLooseEnds keeps promises out of the code: what is to be done stands in
// an issue, not in a comment.
func TestNoLooseEnds(t *testing.T) {
	for _, f := range goFiles(t) {
		for _, c := range f.ast.Comments {
			for _, word := range []string{"TODO", "FIXME", "XXX"} {
				if strings.Contains(c.Text(), word) && f.path != "cmd/gramcup/architecture_test.go" {
					t.Errorf("%s: %s in a comment: do it or file it", f.path, word)
				}
			}
		}
	}
}
