package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"

	"github.com/BurntSushi/toml"
)

// path is the file that is written.
func (f saveFlag) path() string {
	if f.file != "" {
		return f.file
	}
	return userConfigFile()
}

// check refuses a file that can not be written to before anything is searched.
func (f saveFlag) check() error {
	if !f.asked {
		return nil
	}
	if f.path() == "" {
		return errors.New("--save: this user has no config folder: name the file, --save=gramcup.toml")
	}
	if err := replaceable(f.path()); err != nil {
		return fmt.Errorf("--save: %w", err)
	}
	if _, err := os.Stat(f.path()); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if _, err := readConfig(f.path()); err != nil {
		return fmt.Errorf("--save: %w; it is left as it is", err)
	}
	return nil
}

// save writes the one scale that was found.
func (f saveFlag) save(out io.Writer, all []tried) error {
	list := usable(all)
	switch {
	case len(list) == 0:
		return fmt.Errorf("%w, so nothing is saved", errNoneFound)
	case len(list) > 1:
		return fmt.Errorf("%d scales were found and a bench has one, so nothing is saved: name its port, gramcup scale find %s --save", len(list), list[0].Named)
	case list[0].Report.TellUnit:
		return fmt.Errorf("the lines do not say their unit, so nothing is saved: write scale = %q and line = %q into %s, with the unit that the scale shows at the end of the line's name", list[0].Address, list[0].Report.Line, f.path())
	}
	changed, kept, err := saveConfig(f.path(), list[0].config())
	if errors.Is(err, errOtherwise) {
		fmt.Fprintf(out, "Write these lines into the table [serve] of %s yourself:\n", f.path())
		for _, l := range list[0].config() {
			fmt.Fprintln(out, l)
		}
	}
	if err != nil {
		return fmt.Errorf("--save: %w", err)
	}
	if !changed {
		fmt.Fprintf(out, "%s says so already.\n", f.path())
	} else {
		fmt.Fprintf(out, "Saved in %s.\n", f.path())
	}
	if kept != "" {
		fmt.Fprintf(out, "The file before is kept as %s.\n", kept)
	}
	fmt.Fprintf(out, "Start the bench with: gramcup serve%s\n", f.configFlag())
	if file, err := readConfig(f.path()); err == nil && list[0].Report.Asked && file.Serve.Ask != nil && !*file.Serve.Ask {
		fmt.Fprintln(out, "This scale sends only when it is asked, and the file says ask = false: take that line out.")
	}
	return nil
}

func (f saveFlag) configFlag() string {
	if f.file == "" {
		return ""
	}
	return " --config " + shellWord(f.file)
}

// shellWord is a word as it has to be typed.
func shellWord(s string) string {
	if strings.ContainsAny(s, " \t\n\"'`$\\&|;<>()*?[]#~!{}") {
		return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
	}
	return s
}

// beforeSuffix is added to the name of the file that was replaced.
const beforeSuffix = ".before"

// saveConfig puts keys into the table [serve] of a file and leaves every other
// byte of it as it is. The file is replaced in one step, and the one before is
// kept beside it under the name kept, if there was one. changed is false if it
// says so already.
func saveConfig(path string, lines []configLine) (changed bool, kept string, err error) {
	if err := replaceable(path); err != nil {
		return false, "", err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // a link stays one
	}
	mode := fs.FileMode(0o600)
	old, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			return false, "", fmt.Errorf("make the folder for %s: %w", path, err)
		}
	case err != nil:
		return false, "", fmt.Errorf("read %s: %w", path, err)
	default:
		info, err := os.Stat(path)
		if err != nil {
			return false, "", fmt.Errorf("look at %s: %w", path, err)
		}
		mode = info.Mode().Perm()
	}
	text, err := editConfig(string(old), lines)
	if err != nil {
		return false, "", fmt.Errorf("%s: %w; it is left as it is", path, err)
	}
	if text == string(old) {
		return false, "", nil
	}
	if len(old) > 0 {
		kept = path + beforeSuffix
		if err := replaceFile(kept, old, mode); err != nil {
			return false, "", err
		}
	}
	return true, kept, replaceFile(path, []byte(text), mode)
}

// replaceable refuses what somebody has put there on purpose and a new file would
// take the place of: a link that leads nowhere, such as into a folder that is not
// mounted, and a file that nobody may write.
func replaceable(path string) error {
	link, err := os.Lstat(path)
	if err != nil {
		return nil // nothing there, or a folder that will speak for itself
	}
	info, err := os.Stat(path)
	switch {
	case err != nil && link.Mode()&fs.ModeSymlink != 0:
		to, _ := os.Readlink(path)
		return fmt.Errorf("%s is a link to %s, which is not there: make that file, or take the link away; it is left as it is", path, to)
	case err == nil && info.Mode().IsRegular() && info.Mode().Perm()&0o200 == 0:
		return fmt.Errorf("%s is read-only: allow writing first (chmod u+w %s); it is left as it is", path, shellWord(path))
	}
	return nil
}

// replaceFile writes a file beside its place, waits until it is on disk, and
// moves it there.
func replaceFile(path string, content []byte, mode fs.FileMode) (err error) {
	beside, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	_, err = beside.Write(content)
	err = errors.Join(err, beside.Chmod(mode), beside.Sync(), beside.Close())
	if err == nil {
		err = os.Rename(beside.Name(), path)
	}
	if err != nil {
		return errors.Join(fmt.Errorf("write %s: %w", path, err), os.Remove(beside.Name()))
	}
	folder, err := os.Open(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	return errors.Join(folder.Sync(), folder.Close())
}

// errOtherwise is a file that only a person can change.
var errOtherwise = errors.New("its table [serve] is written in a way that can not be changed here")

// editConfig is the text with the keys set in [serve]. It looks at lines, which
// TOML is not made of, so the result is read back: when anything but these
// keys means something else than before, it is an error.
func editConfig(old string, lines []configLine) (string, error) {
	before, err := tomlTable(old)
	if err != nil {
		return "", err
	}
	text := old
	if from, _ := serveTable(text); from < 0 {
		text += newServeTable(text)
	}
	for i := len(lines) - 1; i >= 0; i-- { // what is new goes to the head of the table
		text = setKey(text, lines[i])
	}
	after, err := tomlTable(text)
	serve, ok := before["serve"].(map[string]any)
	if !ok {
		serve = map[string]any{}
		before["serve"] = serve
	}
	for _, l := range lines {
		serve[l.key] = l.value
	}
	if err != nil || !reflect.DeepEqual(before, after) {
		return "", errOtherwise
	}
	return text, nil
}

func tomlTable(text string) (map[string]any, error) {
	table := map[string]any{}
	_, err := toml.Decode(text, &table)
	var syntax toml.ParseError
	if errors.As(err, &syntax) {
		return nil, fmt.Errorf("line %d: %s", syntax.Position.Line, syntax.Message)
	}
	return table, err
}

// newServeTable is what begins the table at the end of a text.
func newServeTable(text string) string {
	switch {
	case text == "":
		return "[serve]\n"
	case !strings.HasSuffix(text, "\n"):
		return "\n\n[serve]\n"
	}
	return "\n[serve]\n"
}

// serveTable is where the lines of [serve] begin and end; from is -1 where there
// are none.
func serveTable(text string) (from, to int) {
	head := regexp.MustCompile(`(?m)^\x{FEFF}?[ \t]*\[[ \t]*serve[ \t]*\][ \t]*(#.*)?\r?(\n|$)`).FindStringIndex(text)
	if head == nil {
		return -1, -1
	}
	if next := regexp.MustCompile(`(?m)^[ \t]*\[`).FindStringIndex(text[head[1]:]); next != nil {
		return head[1], head[1] + next[0]
	}
	return head[1], len(text)
}

// setKey sets one key of [serve], in its place if it is there.
func setKey(text string, l configLine) string {
	from, to := serveTable(text)
	table := text[from:to]
	there := regexp.MustCompile(`(?m)^[ \t]*["']?` + l.key + `["']?[ \t]*=[ \t]*("(?:[^"\\\n]|\\.)*"|'[^'\n]*')`).FindStringSubmatchIndex(table)
	if there != nil {
		_, value, _ := strings.Cut(l.String(), " = ")
		return text[:from] + table[:there[2]] + value + table[there[3]:] + text[to:]
	}
	end := "\n"
	if strings.HasSuffix(text[:from], "\r\n") {
		end = "\r\n"
	}
	if from > 0 && text[from-1] != '\n' {
		return text[:from] + end + l.String() + end + text[from:]
	}
	return text[:from] + l.String() + end + text[from:]
}
