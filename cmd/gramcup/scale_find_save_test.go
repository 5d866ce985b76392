package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
	"gramcup/scale/find"
)

func someLines() []configLine {
	return []configLine{{"scale", `serial:/dev/serial/by-id/usb-a?baud=9600&format=7e1`}, {"line", "csv"}, {"division", "0.1g"}}
}

const newServe = `scale = "serial:/dev/serial/by-id/usb-a?baud=9600&format=7e1"
line = "csv"
division = "0.1g"
`

// Everything else in the file stays as it is, byte for byte.
func TestEditConfig(t *testing.T) {
	for _, c := range []struct{ name, old, want string }{
		{"no file", "", "[serve]\n" + newServe},
		{"an empty table", "[serve]\n", "[serve]\n" + newServe},
		{"no end", "[serve]", "[serve]\n" + newServe},
		{"another table, no end", "[own_line]\npattern = 'x'", "[own_line]\npattern = 'x'\n\n[serve]\n" + newServe},
		{"all three, with comments", "# the bench\n[serve] # here\nscale = '/dev/ttyUSB0'  # by the wall\n\n  line=\"sma\"\nstation = \"Booth\"\ndivision = \"1g\"\n",
			"# the bench\n[serve] # here\nscale = \"serial:/dev/serial/by-id/usb-a?baud=9600&format=7e1\"  # by the wall\n\n  line=\"csv\"\nstation = \"Booth\"\ndivision = \"0.1g\"\n"},
		{"some", "[serve]\nwait = true\nline = \"sma\"\n[own_line]\npattern = 'x'\n",
			"[serve]\nscale = \"serial:/dev/serial/by-id/usb-a?baud=9600&format=7e1\"\ndivision = \"0.1g\"\nwait = true\nline = \"csv\"\n[own_line]\npattern = 'x'\n"},
		{"a key of the same name elsewhere", "[own_line]\nline = \"x\"\n[serve]\n#line = \"y\"\n", "[own_line]\nline = \"x\"\n[serve]\n" + newServe + "#line = \"y\"\n"},
		{"CRLF", "[serve]\r\nwait = true\r\n", "[serve]\r\n" + strings.ReplaceAll(newServe, "\n", "\r\n") + "wait = true\r\n"},
		{"a byte order mark", "\uFEFF[serve]\r\nscale = 'a'\r\n", "\uFEFF[serve]\r\nline = \"csv\"\r\ndivision = \"0.1g\"\r\nscale = \"serial:/dev/serial/by-id/usb-a?baud=9600&format=7e1\"\r\n"},
		{"a quote inside", "[serve]\nscale = \"a\\\"b\" # c\n", "[serve]\n" + "line = \"csv\"\ndivision = \"0.1g\"\nscale = \"serial:/dev/serial/by-id/usb-a?baud=9600&format=7e1\" # c\n"},
		{"an array over lines", "[serve]\nhost = [\n \"a\",\n \"b\",\n]\n", "[serve]\n" + newServe + "host = [\n \"a\",\n \"b\",\n]\n"},
	} {
		got, err := editConfig(c.old, someLines())
		require.NoError(t, err, c.name)
		assert.Equal(t, c.want, got, c.name)
		again, err := editConfig(got, someLines())
		require.NoError(t, err)
		assert.Equal(t, got, again, "%s: once is enough", c.name)
	}
}

// What looks like the table and is not, or is written in another way, is not
// touched.
func TestEditConfigRefuses(t *testing.T) {
	for name, old := range map[string]string{
		"does not parse":       "[serve]\nscale = \n",
		"an inline table":      "serve = { scale = 'a' }\n",
		"dotted keys":          "serve.scale = 'a'\n",
		"a table in a string":  "[own_line]\npattern = '''\n[serve]\nscale = \"a\"\n'''\n",
		"a string over lines":  "[serve]\nscale = '''\na'''\n",
		"an array of strings":  "[serve]\nscale = ['a']\n",
		"a table without name": "[[serve]]\nscale = 'a'\n",
		"a key in a string":    "[serve]\nstation = '''\nline = 'a'\n'''\n",
	} {
		_, err := editConfig(old, someLines())
		require.Error(t, err, name)
	}
}

// Whatever stands in the file: either it is refused, or only the three keys
// mean something else.
func FuzzEditConfig(f *testing.F) {
	f.Add("[serve]\nscale = 'x' # y\n\n[own_line]\npattern = '''\n[serve]\n'''\n")
	f.Add("# a\r\n[ serve ]\r\nline='b'")
	f.Fuzz(func(t *testing.T, old string) {
		text, err := editConfig(old, someLines())
		if err != nil {
			return
		}
		before, err := tomlTable(old)
		require.NoError(t, err)
		after, err := tomlTable(text)
		require.NoError(t, err)
		serve := after["serve"].(map[string]any)
		for _, l := range someLines() {
			require.Equal(t, l.value, serve[l.key])
			delete(serve, l.key)
			if old, ok := before["serve"].(map[string]any); ok {
				delete(old, l.key)
			}
		}
		if before["serve"] == nil {
			require.Empty(t, serve)
			delete(after, "serve")
		}
		require.Equal(t, before, after)
	})
}

func TestSaveConfigKeepsTheOldOne(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "deep", "config.toml")
	changed, kept, err := saveConfig(path, someLines())
	require.NoError(t, err)
	assert.True(t, changed)
	assert.Empty(t, kept)
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	changed, kept, err = saveConfig(path, someLines())
	require.NoError(t, err)
	assert.False(t, changed)
	assert.Empty(t, kept)

	old := "[serve]\nline = \"sma\" # mine\n"
	real := filepath.Join(folder, "real.toml")
	require.NoError(t, os.WriteFile(real, []byte(old), 0o640))
	link := filepath.Join(folder, "link.toml")
	require.NoError(t, os.Symlink("real.toml", link))
	changed, kept, err = saveConfig(link, []configLine{{"line", "csv"}})
	require.NoError(t, err)
	assert.True(t, changed)
	assert.Equal(t, real+beforeSuffix, kept)
	for file, want := range map[string]string{real: "[serve]\nline = \"csv\" # mine\n", kept: old} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, want, string(text))
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	}
	info, err = os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still one")
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, list, 4, "nothing else is left behind")
}

func TestSaveRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "config.toml")
	f := saveFlag{asked: true, file: path}
	one := tried{Named: "/dev/ttyUSB0", Address: "/dev/ttyUSB0", Report: find.Report{Found: true, Sure: find.Likely, Line: "csv"}}
	told := one
	told.Report.TellUnit, told.Report.Line = true, "bare-g"
	for says, all := range map[string][]tried{
		"no scale was found": {{Named: "/dev/ttyUSB0", Report: find.Report{Line: "csv", Codec: scale.CSV{}}}},
		"2 scales":           {one, one},
		"their unit":         {told},
	} {
		require.ErrorContains(t, f.save(t.Output(), all), says)
		require.NoFileExists(t, path)
	}
	require.NoError(t, os.WriteFile(path, []byte("[serve]\nscale =\n"), 0o600))
	require.ErrorContains(t, f.check(), "line 2")
	require.Error(t, f.save(t.Output(), []tried{one}))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "[serve]\nscale =\n", string(text))
	require.NoFileExists(t, path+beforeSuffix)

	require.NoError(t, os.WriteFile(path, []byte("[serve]\nask = false\n"), 0o600))
	var told2 strings.Builder
	one.Report.Asked = true
	require.NoError(t, f.save(&told2, []tried{one}))
	assert.Contains(t, told2.String(), "ask = false: take that line out")

	require.NoError(t, os.WriteFile(path, []byte("serve = { scale = 'a' }\n"), 0o600))
	var lines strings.Builder
	require.ErrorIs(t, f.save(&lines, []tried{one}), errOtherwise)
	assert.Contains(t, lines.String(), "\nscale = \"/dev/ttyUSB0\"\nline = \"csv\"\n", "to be copied as they are")
}

// What somebody has put in the place of the file on purpose stays as it is.
func TestSaveLeavesWhatIsProtected(t *testing.T) {
	folder := t.TempDir()
	locked := filepath.Join(folder, "locked.toml")
	require.NoError(t, os.WriteFile(locked, []byte("[serve]\nline = \"sma\"\n"), 0o444))
	linked := filepath.Join(folder, "linked.toml")
	require.NoError(t, os.Symlink("locked.toml", linked))
	dangling := filepath.Join(folder, "dangling.toml")
	require.NoError(t, os.Symlink("not-mounted/config.toml", dangling))
	for path, says := range map[string]string{
		locked:   "is read-only: allow writing first (chmod u+w " + locked + "); it is left as it is",
		linked:   "is read-only",
		dangling: "is a link to not-mounted/config.toml, which is not there",
	} {
		require.ErrorContains(t, saveFlag{asked: true, file: path}.check(), says, "before anything is searched")
		_, _, err := saveConfig(path, someLines())
		require.ErrorContains(t, err, says)
	}
	text, err := os.ReadFile(locked)
	require.NoError(t, err)
	assert.Equal(t, "[serve]\nline = \"sma\"\n", string(text))
	info, err := os.Lstat(dangling)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still one")
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, list, 3, "nothing is left behind")
}

func TestShellWord(t *testing.T) {
	for word, want := range map[string]string{"/a/b.toml": "/a/b.toml", "/my bench/b.toml": "'/my bench/b.toml'", "it's": `'it'\''s'`} {
		assert.Equal(t, want, shellWord(word))
	}
}

// A value of any kind survives the way through TOML, or is refused.
func TestConfigLineIsTOML(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := configLine{"scale", rapid.String().Draw(t, "value")}
		text, err := editConfig("", []configLine{l})
		if err != nil {
			return
		}
		table, err := tomlTable(text)
		require.NoError(t, err)
		require.Equal(t, l.value, table["serve"].(map[string]any)["scale"])
	})
	_, err := editConfig("", someLines())
	require.NoError(t, err)
}
