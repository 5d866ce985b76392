package book

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// tub is a cup as the bench measured it.
func tub(id, name string) mix.Cup {
	return mix.Cup{
		ID: id, Name: name, AtMS: 1_700_000_000_000, WaterC: 21, EmptyG: 42.1, Scale: "bench scale", ReadingG: 0.05,
		Fills: []mix.CupFill{{HeightMM: 30, WaterG: 92.4}, {HeightMM: 60, WaterG: 205.7}, {HeightMM: 90, WaterG: 342}},
	}
}

func TestCupsAreKept(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	at := time.UnixMilli(1_700_000_001_000)
	require.NoError(t, b.PutCup(tub("cup-2", "white beaker"), at))
	require.NoError(t, b.PutCup(tub("cup-1", "Blue tub"), at))
	require.NoError(t, b.PutCup(tub("cup-1", "Blue tub"), at.Add(time.Hour)))
	rows, err := texts(b.reader, `SELECT id || ' ' || changed_ms || ' ' || deleted FROM cup ORDER BY id`)
	require.NoError(t, err)
	require.Equal(t, []string{"cup-1 1700000001000 0", "cup-2 1700000001000 0"}, rows, "the same once more changes nothing")
	require.NoError(t, b.Close())

	b = open(t, dir)
	list, err := b.Cups()
	require.NoError(t, err)
	require.Equal(t, []mix.Cup{tub("cup-1", "Blue tub"), tub("cup-2", "white beaker")}, list, "as it was, by name")

	found, err := b.TakeCup("cup-1", at)
	require.NoError(t, err)
	require.True(t, found)
	found, err = b.TakeCup("cup-1", at)
	require.NoError(t, err)
	require.False(t, found, "it is off the list already")
	list, err = b.Cups()
	require.NoError(t, err)
	require.Len(t, list, 1)
	found, err = b.BringCup("cup-1", at)
	require.NoError(t, err)
	require.True(t, found)
	list, err = b.Cups()
	require.NoError(t, err)
	require.Equal(t, tub("cup-1", "Blue tub"), list[0], "it comes back as it was")
	found, err = b.BringCup("cup-9", at)
	require.NoError(t, err)
	require.False(t, found)

	_, err = b.writer.Exec(`UPDATE cup SET body = '{"name"' WHERE id = 'cup-2'`)
	require.NoError(t, err)
	_, err = b.Cups()
	require.ErrorIs(t, err, ErrDamaged)
}

func TestCupsThatAreNotKept(t *testing.T) {
	b := fresh(t)
	for says, spoil := range map[string]func(*mix.Cup){
		"give it a name of 1 to 40 letters": func(c *mix.Cup) { c.Name = "" },
		"without blanks around it":          func(c *mix.Cup) { c.Name = " tub" },
		`"a\ab"`:                            func(c *mix.Cup) { c.Name = "a\ab" },
		"is a size and not a name":          func(c *mix.Cup) { c.Name = "85x120" },
		"weighs 0 g: that must be above 0":  func(c *mix.Cup) { c.EmptyG = 0 },
		"at least two heights":              func(c *mix.Cup) { c.Fills = c.Fills[:1] },
		"both must rise":                    func(c *mix.Cup) { c.Fills[1].HeightMM = 20 },
		"known here from 0 to 40 °C":        func(c *mix.Cup) { c.WaterC = 60 },
		"has no id":                         func(c *mix.Cup) { c.ID = " " },
		"measured at 21 heights: at most 20 are": func(c *mix.Cup) {
			for len(c.Fills) < 21 {
				c.Fills = append(c.Fills, mix.CupFill{HeightMM: 100 + float64(len(c.Fills)), WaterG: 400 + float64(len(c.Fills))})
			}
		},
		"give it a name of 1": func(c *mix.Cup) { c.Name = strings.Repeat("x", 41) },
	} {
		c := tub("cup-1", "Blue tub")
		spoil(&c)
		require.ErrorContains(t, b.PutCup(c, time.Now()), says)
	}
	list, err := b.Cups()
	require.NoError(t, err)
	require.Empty(t, list)
}

// A book of version 4 opens, says what it said, and takes a cup. The expectations
// are written out here and not made by the code under test.
func TestVersion4Opens(t *testing.T) {
	text, err := os.ReadFile("../../testdata/books/v4.sql")
	require.NoError(t, err)
	dir := t.TempDir()
	sqlInto(t, dir, string(text))
	b := open(t, dir)
	require.Equal(t, schemaOf(t, fresh(t).writer), schemaOf(t, b.writer), "an old book ends up like a new one")
	settings, err := b.Settings()
	require.NoError(t, err)
	require.Equal(t, 24.5, *settings.ShopC)
	events, ok, err := b.Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	batch := mix.Fold(events)
	require.Equal(t, "batch-two", batch.ID)
	require.Equal(t, 568*scale.Gram, batch.Content())
	list, err := b.Cups()
	require.NoError(t, err)
	require.Empty(t, list)
	require.NoError(t, b.PutCup(tub("cup-1", "Blue tub"), time.Now()))
	list, err = b.Cups()
	require.NoError(t, err)
	require.Len(t, list, 1)
}
