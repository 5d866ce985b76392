package ui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// GreyBook keeps the shop's undercoats, with every version that one ever had.
type GreyBook interface {
	// Greys lists them in the order in which they are shown.
	Greys() ([]mix.GreySystem, error)
	// Grey is the one with this id; found is false if there is none.
	Grey(id string) (s mix.GreySystem, found bool, err error)
	// PutGrey keeps a system in place of the one with its id.
	PutGrey(s mix.GreySystem, at time.Time) error
	// TakeGrey takes one away; found is false if it was not there.
	TakeGrey(id string, at time.Time) (found bool, err error)
	// GreyVersions lists every version, the oldest first, also of one that was
	// taken away.
	GreyVersions(id string) ([]mix.GreySystem, error)
}

// GreyDesk changes the undercoats, one change after the other, and makes greys
// into products of the shelf. What it makes is a recipe like any other, with its
// versions and its undo there.
type GreyDesk struct {
	book  GreyBook
	shelf *ShelfDesk

	mu   sync.Mutex
	done []greyDone // the last changes, to know one again that comes twice
}

type greyDone struct{ key, id, made, body string }

// NewGreyDesk makes a desk that writes into a book, and puts what it makes on a
// shelf.
func NewGreyDesk(b GreyBook, shelf *ShelfDesk) *GreyDesk { return &GreyDesk{book: b, shelf: shelf} }

// greyMake is the one change that the shelf does not know.
const greyMake = "make"

func (b GreyBody) check() error {
	switch {
	case b.Key == "" || len(b.Key) > maxKeyBytes || !printable(b.Key):
		return fmt.Errorf("the change needs a key of 1 to %d printable characters, a new one for each decision", maxKeyBytes)
	case !slices.Contains([]string{shelfPut, shelfTake, shelfUndo, greyMake}, b.Do):
		return fmt.Errorf("the change %q is not known: it is put, take, undo or make", b.Do)
	case (b.Do == shelfPut) != (b.System != nil):
		return errors.New("a put, and only a put, brings a system")
	case b.Do != shelfPut && (b.ID == "" || b.LightDensity != "" || b.DarkDensity != "" || b.Confirm):
		return fmt.Errorf("a %s names the id of a system", b.Do)
	case (b.Do == greyMake) != (b.Lightness != 0):
		return errors.New("a make, and only a make, says which lightness")
	case len(b.ID) > maxIDBytes:
		return fmt.Errorf("the id has more than %d characters", maxIDBytes)
	}
	return nil
}

// do carries out a change, and gives the ids of the system and of the recipe
// that was made. A refusal is a *mix.Refusal; another error is of the book.
func (d *GreyDesk) do(now time.Time, b GreyBody) (id, made string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	body := bodyOf(b)
	for _, known := range d.done {
		if known.key == b.Key {
			return known.id, known.made, sameBody(known.body, body) // done already
		}
	}
	id = b.ID
	switch b.Do {
	case shelfPut:
		id, err = d.put(now, b)
	case shelfTake:
		if _, err = d.current(b, true); err == nil {
			_, err = d.book.TakeGrey(b.ID, now)
		}
	case shelfUndo:
		err = d.undo(now, b)
	default:
		made, err = d.make(now, b)
	}
	if err != nil {
		return "", "", err
	}
	d.done = append(d.done, greyDone{b.Key, id, made, body})
	if len(d.done) > keysKept {
		d.done = slices.Delete(d.done, 0, 1)
	}
	return id, made, nil
}

// current is the system as the change expects it to be; it must be there if
// needed says so.
func (d *GreyDesk) current(b GreyBody, needed bool) (s mix.GreySystem, err error) {
	if b.ID == "" {
		return s, nil
	}
	s, found, err := d.book.Grey(b.ID)
	switch {
	case err != nil:
		return s, err
	case needed && !found:
		return s, refuseShelf(mix.RefusedStale, "these undercoats were taken away: undo that first, or add them anew")
	case found && revisionOf(s) != b.Revision || !found && b.Revision != "":
		return s, refuseShelf(mix.RefusedStale, "the undercoats were changed meanwhile, on another page perhaps: look at them again and decide anew")
	}
	return s, nil
}

func (d *GreyDesk) put(now time.Time, b GreyBody) (string, error) {
	old, err := d.current(b, true)
	if err != nil {
		return "", err
	}
	s := *b.System
	s.Name, s.Light.Name, s.Dark.Name = strings.TrimSpace(s.Name), strings.TrimSpace(s.Light.Name), strings.TrimSpace(s.Dark.Name)
	err = errors.Join(greyDensity(now, &s.Light, old.Light, b.LightDensity), greyDensity(now, &s.Dark, old.Dark, b.DarkDensity))
	if err == nil {
		err = s.Check()
	}
	if err != nil {
		return "", &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	if err := d.ask(s, old, b.Confirm); err != nil {
		return "", err
	}
	s.Cards = dated(now, s.Cards, old.Cards)
	if s.ID = b.ID; s.ID == "" {
		if s.ID, err = freeID(s.Name, "greys", func(id string) (bool, error) {
			versions, err := d.book.GreyVersions(id)
			return len(versions) > 0, err
		}); err != nil {
			return "", err
		}
	}
	return s.ID, d.book.PutGrey(s, now)
}

// greyDensity is the density of a tin: as typed, or as it stood there before.
func greyDensity(now time.Time, t *mix.GreyTin, old mix.GreyTin, typed string) error {
	if typed == "" {
		if t.Density.Known() && t.Density != old.Density {
			return fmt.Errorf("%s: a density is typed as the sheet prints it; this one did not stand there", t.Name)
		}
		return nil
	}
	d, err := mix.ParseDensity(strings.ReplaceAll(typed, ",", "."))
	if err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	d.AsGiven, d.Source, d.SinceMS = strings.TrimSpace(typed), sourceSheet, now.UnixMilli()
	t.Density = d
	return nil
}

// ask asks once where a density is unusual for an undercoat.
func (d *GreyDesk) ask(s, old mix.GreySystem, confirmed bool) error {
	for _, pair := range [][2]mix.GreyTin{{s.Light, old.Light}, {s.Dark, old.Dark}} {
		t := pair[0]
		if !t.Density.Known() || t.Density == pair[1].Density || confirmed {
			continue
		}
		var refusal *coating.Refusal
		if err := coating.Plausible(coating.KindSurfacer, t.Density.GPerML); errors.As(err, &refusal) && refusal.Ask {
			return refuseShelf(refusedAsk, "%s: %s", t.Name, refusal.Sentence)
		}
	}
	return nil
}

// dated gives each drawdown the moment at which it was entered, which is that of
// before where it says the same.
func dated(now time.Time, cards, old []mix.GreyCard) []mix.GreyCard {
	cards = slices.Clone(cards)
	for i := range cards {
		cards[i].AtMS = now.UnixMilli()
		for _, o := range old {
			if o.DarkPercent == cards[i].DarkPercent && o.Lightness == cards[i].Lightness {
				cards[i].AtMS = o.AtMS
			}
		}
	}
	return cards
}

// undo brings back what stood there before the last change.
func (d *GreyDesk) undo(now time.Time, b GreyBody) error {
	s, err := d.current(b, false)
	if err != nil {
		return err
	}
	versions, err := d.book.GreyVersions(b.ID)
	if err != nil {
		return err
	}
	switch n := len(versions); {
	case n == 0:
		return refuseShelf(mix.RefusedOrder, "there never were undercoats of that id")
	case s.ID == "":
		return d.book.PutGrey(versions[n-1], now)
	case n == 1:
		_, err = d.book.TakeGrey(b.ID, now)
		return err
	default:
		return d.book.PutGrey(versions[n-2], now)
	}
}

// make puts a grey on the shelf.
func (d *GreyDesk) make(now time.Time, b GreyBody) (string, error) {
	s, err := d.current(b, true)
	if err != nil {
		return "", err
	}
	recipes, err := d.shelf.book.Recipes()
	if err != nil {
		return "", err
	}
	m, err := s.Grey(b.Lightness, recipes, now)
	if err != nil {
		return "", &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	m.Recipe.Note = strings.TrimSpace(m.Recipe.Note + " " + madeFrom(s) + revisionOf(s) + ".")
	return d.shelf.putMade(m.Recipe, madeFrom(s))
}

// putMade puts a recipe that was worked out here on the shelf, as a new version
// of what was made there before. A recipe of the same id whose note does not hold
// the mark is a person's own, and is never written over.
func (d *ShelfDesk) putMade(r mix.Recipe, mark string) (id string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	id = r.ID
	for n := 2; ; n++ {
		there, found, err := d.book.Recipe(r.ID)
		if err != nil {
			return "", err
		}
		if !found || strings.Contains(there.Note, mark) {
			return r.ID, d.book.PutRecipe(r)
		}
		r.ID = fmt.Sprintf("%s-%d", id, n)
	}
}

// madeFrom is how the note of a recipe names the undercoats that it was made of.
func madeFrom(s mix.GreySystem) string { return "Undercoats " + s.ID + ", version " }
