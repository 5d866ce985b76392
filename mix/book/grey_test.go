package book

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

func greys() mix.GreySystem {
	return mix.GreySystem{
		ID: "slate", Name: "Slate", LikeID: "slate-surfacer", Light: mix.GreyTin{Name: "Slate light"},
		Dark:  mix.GreyTin{Name: "Slate dark", Density: mix.Density{GPerML: 1.38, ReferenceC: 20, Source: "product sheet", AsGiven: "1.38"}},
		Cards: []mix.GreyCard{{DarkPercent: 0, Lightness: 91, AtMS: 7}, {DarkPercent: 50, Lightness: 44}, {DarkPercent: 100, Lightness: 30}},
		Steps: []mix.GreyStep{{Name: "middle", Lightness: 60}},
	}
}

func TestGreys(t *testing.T) {
	dir, at := t.TempDir(), time.UnixMilli(1_700_000_000_000)
	b := open(t, dir)
	first, second := greys(), greys()
	second.Cards = append(second.Cards, mix.GreyCard{DarkPercent: 10, Lightness: 68})
	require.NoError(t, b.PutGrey(first, at))
	require.NoError(t, b.PutGrey(second, at))
	require.NoError(t, b.PutGrey(second, at), "the same once more")
	other := greys()
	other.ID, other.Name = "ballast", "ballast"
	require.NoError(t, b.PutGrey(other, at))
	require.NoError(t, b.Close())

	b = open(t, dir)
	list, err := b.Greys()
	require.NoError(t, err)
	require.Equal(t, []mix.GreySystem{other, second}, list, "by name")
	versions, err := b.GreyVersions("slate")
	require.NoError(t, err)
	require.Equal(t, []mix.GreySystem{first, second}, versions)
	found, err := b.TakeGrey("slate", at)
	require.NoError(t, err)
	require.True(t, found)
	found, err = b.TakeGrey("slate", at)
	require.NoError(t, err)
	require.False(t, found)
	_, found, err = b.Grey("slate")
	require.NoError(t, err)
	require.False(t, found)
	require.NoError(t, b.PutGrey(second, at), "it comes back")
	got, found, err := b.Grey("slate")
	require.NoError(t, err)
	require.True(t, found)
	require.Equal(t, second, got)

	for _, q := range []string{`UPDATE grey_version SET body = '{}'`, `DELETE FROM grey_version`,
		`INSERT INTO grey_version (id, version, body, changed_ms) VALUES ('slate', 9, '{}', 0)`} {
		_, err := b.writer.Exec(q)
		require.Error(t, err, q)
	}
	_, err = b.writer.Exec(`UPDATE grey SET body = '{' WHERE id = 'slate'`)
	require.NoError(t, err)
	_, _, err = b.Grey("slate")
	require.ErrorIs(t, err, ErrDamaged)
}

func TestGreysRefuse(t *testing.T) {
	b := fresh(t)
	for says, spoil := range map[string]func(*mix.GreySystem){
		"has no name":      func(s *mix.GreySystem) { s.Name = "" },
		"have no id":       func(s *mix.GreySystem) { s.ID = " " },
		"more than 4096":   func(s *mix.GreySystem) { s.ID = strings.Repeat("x", maxNameBytes+1) },
		"at most 40 and":   func(s *mix.GreySystem) { s.Cards = make([]mix.GreyCard, 50) },
		"give 0 to 100 % ": func(s *mix.GreySystem) { s.Cards[0].DarkPercent = -1 },
	} {
		s := greys()
		spoil(&s)
		require.ErrorContains(t, b.PutGrey(s, time.Now()), says)
	}
	list, err := b.Greys()
	require.NoError(t, err)
	require.Empty(t, list)
}

// A book of each earlier version gets the undercoats, keeps what it had, and
// takes a system.
func TestOldBooksTakeGreys(t *testing.T) {
	for _, name := range []string{"v1.sql", "v2.sql"} {
		text, err := os.ReadFile("../../testdata/books/" + name)
		require.NoError(t, err)
		dir := t.TempDir()
		sqlInto(t, dir, string(text))
		b := open(t, dir)
		before, err := b.Recipes()
		require.NoError(t, err)
		list, err := b.Greys()
		require.NoError(t, err)
		require.Empty(t, list)
		require.NoError(t, b.PutGrey(greys(), time.Now()))
		after, err := b.Recipes()
		require.NoError(t, err)
		require.Equal(t, before, after)
		_, open, err := b.Unfinished()
		require.NoError(t, err)
		require.True(t, open)
	}
}
