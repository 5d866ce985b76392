package ui

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// ShelfBook is the shelf with what changes it. Every version that a recipe ever
// had stays in it.
type ShelfBook interface {
	Shelf
	// PutRecipe puts a recipe on the shelf, in place of the one with its id.
	PutRecipe(r mix.Recipe) error
	// TakeRecipe takes it off; found is false if it was not there.
	TakeRecipe(id string) (found bool, err error)
	// RecipeVersions lists every version, the oldest first, also of one that was
	// taken off.
	RecipeVersions(id string) ([]mix.Recipe, error)
}

// ShelfDesk changes the shelf, one change after the other. A batch in the cup
// carries its own recipe, so that nothing here can touch it.
type ShelfDesk struct {
	book ShelfBook

	mu   sync.Mutex
	done []shelfDone // the last changes, to know one again that comes twice
}

type shelfDone struct{ key, id, body string }

// NewShelfDesk makes a desk that writes into a book.
func NewShelfDesk(b ShelfBook) *ShelfDesk { return &ShelfDesk{book: b} }

// The changes of the shelf.
const (
	shelfPut  = "put"
	shelfTake = "take"
	shelfUndo = "undo"
)

// refusedAsk is not a no: the same once more, confirmed, is done.
const refusedAsk mix.RefusalCode = "ask"

// maxShelfBytes has room for a recipe of eight components with everything that
// their sheets say.
const maxShelfBytes = 48 << 10

// maxNamesakes bounds the search for a free id.
const maxNamesakes = 1000

// shelfRoutes are reading the shelf, and changing it where there is a desk.
func (s *Server) shelfRoutes(mux *http.ServeMux) {
	get := s.gets(s.shelf)
	mux.Handle("/api/shelf/figure", s.gets(s.figure))
	if s.config.Edit == nil {
		mux.Handle("/api/shelf", get)
		return
	}
	mux.HandleFunc("/api/shelf", either(get, s.postsUpTo(maxShelfBytes, s.changeShelf)))
}

// changeShelf does what a page asks of the shelf.
func (s *Server) changeShelf(w http.ResponseWriter, r *http.Request) {
	var body ShelfBody
	err := decodeStrict(r.Body, &body)
	if err == nil {
		err = body.check()
	}
	if err != nil {
		s.refuseBody(w, r, err)
		return
	}
	id, err := s.config.Edit.do(time.Now(), body)
	var refusal *mix.Refusal
	switch {
	case errors.As(err, &refusal):
		s.refuseShelf(w, r, err, refusal)
		return
	case err != nil:
		s.log.Error("the shelf could not be changed", "doing", body.Do, "err", err)
		s.refuse(w, r, http.StatusServiceUnavailable, "book", "The shelf could not be changed: "+err.Error()+".")
		return
	}
	out := ShelfEditAnswer{OK: true, ID: id}
	recipe, found, err := s.config.Shelf.Recipe(id)
	if err != nil {
		s.failed(w, r, "look a recipe up", err)
		return
	}
	if found {
		r := shelfRecipe(recipe)
		out.Recipe = &r
	}
	s.answer(w, http.StatusOK, out)
}

func (b ShelfBody) check() error {
	switch {
	case b.Key == "" || len(b.Key) > maxKeyBytes || !printable(b.Key):
		return fmt.Errorf("the change needs a key of 1 to %d printable characters, a new one for each decision", maxKeyBytes)
	case !slices.Contains([]string{shelfPut, shelfTake, shelfUndo}, b.Do):
		return fmt.Errorf("the change %q is not known: it is put, take or undo", b.Do)
	case (b.Do == shelfPut) != (b.Recipe != nil):
		return errors.New("a put, and only a put, brings a recipe")
	case b.Do != shelfPut && (b.ID == "" || len(b.Densities) > 0 || len(b.Figures) > 0 || len(b.Mix) > 0 || b.Confirm):
		return fmt.Errorf("a %s names the id of a recipe, and nothing else", b.Do)
	case len(b.ID) > maxIDBytes:
		return fmt.Errorf("the id has more than %d characters", maxIDBytes)
	case b.Recipe != nil && len(b.Densities) > 0 && len(b.Densities) != len(b.Recipe.Components):
		return fmt.Errorf("%d densities for %d components: give one for each, empty where it stays", len(b.Densities), len(b.Recipe.Components))
	case b.Recipe != nil && len(b.Figures) > 0 && len(b.Figures) != len(b.Recipe.Components):
		return fmt.Errorf("figures for %d of %d components: give some for each, empty where they stay", len(b.Figures), len(b.Recipe.Components))
	case len(b.From) > maxFromBytes || !printable(b.From):
		return fmt.Errorf("where the figures stand has up to %d printable characters", maxFromBytes)
	}
	return nil
}

// revisionOf is a short name for a version of a recipe or of undercoats: what a
// change was decided on.
func revisionOf[T mix.Recipe | mix.GreySystem](r T) string {
	body, err := json.Marshal(r)
	if err != nil {
		return "" // can not be: Check refuses what JSON has no number for
	}
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:8])
}

// bodyOf is a short name for what a change asks for.
func bodyOf(b any) string {
	text, err := json.Marshal(b)
	if err != nil {
		return "" // can not be: it came as JSON
	}
	sum := sha256.Sum256(text)
	return string(sum[:])
}

// sameBody refuses a key that was used for another change: its answer would be
// that of the first, and the second would be lost with a word of success.
func sameBody(first, now string) error {
	if first == now {
		return nil
	}
	return refuseShelf(mix.RefusedOrder, "this key was used for another change already: give each change a key of its own")
}

func refuseShelf(code mix.RefusalCode, format string, args ...any) error {
	return &mix.Refusal{Code: code, Sentence: fmt.Sprintf(format, args...)}
}

// do carries out a change, and gives the id of the recipe. A refusal is a
// *mix.Refusal; another error is of the book.
func (d *ShelfDesk) do(now time.Time, b ShelfBody) (id string, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	body := bodyOf(b)
	for _, known := range d.done {
		if known.key == b.Key {
			return known.id, sameBody(known.body, body) // done already
		}
	}
	switch b.Do {
	case shelfPut:
		id, err = d.put(now, b)
	case shelfTake:
		id, err = b.ID, d.take(b)
	default:
		id, err = b.ID, d.undo(b)
	}
	if err != nil {
		return "", err
	}
	d.done = append(d.done, shelfDone{b.Key, id, body})
	if len(d.done) > keysKept {
		d.done = slices.Delete(d.done, 0, 1)
	}
	return id, nil
}

// current is the recipe as the change expects it to stand there. found is false
// where it is not on the shelf.
func (d *ShelfDesk) current(id, revision string) (r mix.Recipe, found bool, err error) {
	if id == "" {
		return r, false, nil
	}
	r, found, err = d.book.Recipe(id)
	if err != nil {
		return r, false, err
	}
	if found && revisionOf(r) != revision || !found && revision != "" {
		return r, found, refuseShelf(mix.RefusedStale, "the recipe was changed meanwhile, on another page perhaps: look at it again and decide anew")
	}
	return r, found, nil
}

func (d *ShelfDesk) put(now time.Time, b ShelfBody) (string, error) {
	old, found, err := d.current(b.ID, b.Revision)
	if err != nil {
		return "", err
	}
	if b.ID != "" && !found {
		return "", refuseShelf(mix.RefusedStale, "that recipe is not on the shelf any more: undo that first, or add it as a new one")
	}
	r := *b.Recipe
	r.Name = strings.TrimSpace(r.Name)
	if err := setDensities(now, &r, old, b.Densities); err != nil {
		return "", &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	if err := setFigures(now, &r, old, b); err != nil {
		return "", err
	}
	if err := r.Check(); err != nil {
		return "", &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	if err := d.ask(r, old, b); err != nil {
		return "", err
	}
	if r.ID = b.ID; r.ID == "" {
		if r.ID, err = d.freeID(r.Name); err != nil {
			return "", err
		}
	}
	return r.ID, d.book.PutRecipe(r)
}

// ask refuses a density that no component can have, and asks once where one is
// unusual or a name is taken. What stands on the shelf already is not asked
// about again.
func (d *ShelfDesk) ask(r, old mix.Recipe, b ShelfBody) error {
	for _, c := range r.Components {
		same := func(o mix.Component) bool {
			return o.Density.GPerML == c.Density.GPerML && componentKind(o) == componentKind(c)
		}
		if !c.Density.Known() || slices.ContainsFunc(old.Components, same) {
			continue
		}
		var refusal *coating.Refusal
		err := coating.Plausible(componentKind(c), c.Density.GPerML)
		switch {
		case err == nil || errors.As(err, &refusal) && refusal.Ask && b.Confirm:
		case refusal != nil && refusal.Ask:
			return refuseShelf(refusedAsk, "%s: %s", c.Name, refusal.Sentence)
		default:
			return refuseShelf(mix.RefusedOrder, "%s: %s", c.Name, err)
		}
	}
	if b.Confirm || r.Name == old.Name {
		return nil
	}
	all, err := d.book.Recipes()
	if err != nil {
		return err
	}
	for _, other := range all {
		if strings.EqualFold(other.Name, r.Name) {
			return refuseShelf(refusedAsk, "there is a recipe of the name %s on the shelf already: add this one beside it?", other.Name)
		}
	}
	return nil
}

// componentKind is the kind of a component, from its role where nobody named one.
func componentKind(c mix.Component) coating.Kind {
	switch {
	case c.Content.Kind != coating.KindSomethingElse:
		return c.Content.Kind
	case c.Role == mix.RoleHardener:
		return coating.KindHardener
	case c.Role == mix.RoleReducer:
		return coating.KindReducer
	}
	return coating.KindSomethingElse
}

func (d *ShelfDesk) take(b ShelfBody) error {
	_, found, err := d.current(b.ID, b.Revision)
	if err != nil {
		return err
	}
	if !found {
		return refuseShelf(mix.RefusedStale, "that recipe is not on the shelf any more")
	}
	_, err = d.book.TakeRecipe(b.ID)
	return err
}

// undo brings back what stood there before the last change: the version before,
// the recipe that was taken off, or no recipe where it was new.
func (d *ShelfDesk) undo(b ShelfBody) error {
	_, found, err := d.current(b.ID, b.Revision)
	if err != nil {
		return err
	}
	versions, err := d.book.RecipeVersions(b.ID)
	if err != nil {
		return err
	}
	switch n := len(versions); {
	case n == 0:
		return refuseShelf(mix.RefusedOrder, "there never was a recipe of that id")
	case !found:
		return d.book.PutRecipe(versions[n-1])
	case n == 1:
		_, err = d.book.TakeRecipe(b.ID)
		return err
	default:
		return d.book.PutRecipe(versions[n-2])
	}
}

// setDensity keeps a density that was measured in its component.
func (d *ShelfDesk) setDensity(id, component string, index int, density mix.Density) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	r, found, err := d.book.Recipe(id)
	if err != nil {
		return err
	}
	if !found || index >= len(r.Components) || r.Components[index].Name != component {
		return refuseShelf(mix.RefusedStale, "%s is not in that recipe any more: the density is still here, bring the recipe back and keep it then", component)
	}
	r.Components = slices.Clone(r.Components)
	density.ExpansionPerK = r.Components[index].Density.ExpansionPerK
	r.Components[index].Density = density
	if err := r.Check(); err != nil {
		return &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	return d.book.PutRecipe(r)
}

// freeID makes an id of a name that no recipe has or ever had.
func (d *ShelfDesk) freeID(name string) (string, error) {
	return freeID(name, "recipe", func(id string) (bool, error) {
		versions, err := d.book.RecipeVersions(id)
		return len(versions) > 0, err
	})
}

// freeID makes an id of a name that nothing of its kind has or ever had; a name
// without a plain letter gives the kind itself.
func freeID(name, kind string, taken func(id string) (bool, error)) (string, error) {
	base := strings.Join(strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}), "-")
	const longest = 40
	if base = strings.Trim(base[:min(len(base), longest)], "-"); base == "" {
		base = kind
	}
	for n := 1; n < maxNamesakes; n++ {
		id := base
		if n > 1 {
			id = fmt.Sprintf("%s-%d", base, n)
		}
		if is, err := taken(id); err != nil || !is {
			return id, err
		}
	}
	return "", refuseShelf(mix.RefusedOrder, "there are too many of that name: give this one another")
}
