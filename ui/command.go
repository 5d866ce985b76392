package ui

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gramcup/mix"
)

// Limits of what a command may name.
const (
	maxKeyBytes = 64
	maxIDBytes  = 128
)

// command hands a command over and answers with what came of it.
func (s *Server) command(w http.ResponseWriter, r *http.Request) {
	body, err := decodeCommand(r.Body)
	if err != nil {
		s.refuseBody(w, r, err)
		return
	}
	c := mix.Command{Key: body.Key, Batch: body.Batch, Version: body.Version, Do: mix.Verb(body.Do)}
	if body.Start != nil {
		order, refusal, err := s.order(body.Start)
		if err != nil {
			s.failed(w, r, "look a recipe up", err)
			return
		}
		if refusal != nil {
			s.refuse(w, r, statusOf(refusal.Code), string(refusal.Code), sentence(refusal))
			return
		}
		c.Order = order
	}
	ctx, cancel := context.WithTimeout(r.Context(), deskWait)
	defer cancel()
	b, err := s.config.Desk.Do(ctx, c)
	var refusal *mix.Refusal
	switch {
	case err == nil:
		s.usedJob(body.Start)
		view := viewOf(b)
		s.answer(w, http.StatusOK, Answer{OK: true, View: &view})
	case errors.As(err, &refusal):
		s.refuse(w, r, statusOf(refusal.Code), string(refusal.Code), sentence(refusal))
	case errors.Is(err, context.DeadlineExceeded):
		s.refuse(w, r, http.StatusServiceUnavailable, "no-answer", "The bench has not answered yet and may still do it: look at the batch before you repeat.")
	default:
		s.refuse(w, r, http.StatusServiceUnavailable, "no-answer", sentence(err))
	}
}

// order turns a start into the bench's order: the recipe as it stands on the
// shelf now, and a new name for the batch.
func (s *Server) order(b *StartBody) (*mix.Order, *mix.Refusal, error) {
	recipe, found, err := s.config.Shelf.Recipe(b.RecipeID)
	if err != nil {
		return nil, nil, err
	}
	if !found {
		return nil, &mix.Refusal{Code: mix.RefusedOrder, Sentence: fmt.Sprintf("There is no recipe %q on the shelf: choose one that is.", b.RecipeID)}, nil
	}
	settings, err := s.settingsNow()
	if err != nil {
		return nil, nil, err
	}
	warm, err := settings.Warm(recipe)
	if err != nil {
		return nil, &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}, nil
	}
	o := &mix.Order{ID: s.config.NewBatchID(), Recipe: warm.Recipe, Amount: mix.Amount{Kind: mix.AmountKind(b.Kind), ML: b.ML, Grams: b.Grams}}
	if b.Job != nil {
		if o.Amount, _, err = o.Recipe.AmountFor(mix.Job(*b.Job), b.ML); err != nil {
			return nil, &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}, nil
		}
	}
	if s.config.Division != nil {
		o.Division = s.config.Division()
	}
	return o, nil, nil
}

// decodeCommand reads a command strictly: what it does not know it refuses, so
// that a page of another version is never half understood.
func decodeCommand(body io.Reader) (CommandBody, error) {
	var c CommandBody
	if err := decodeStrict(body, &c); err != nil {
		return CommandBody{}, err
	}
	switch start := c.Do == string(mix.VerbStart); {
	case c.Key == "" || len(c.Key) > maxKeyBytes || !printable(c.Key):
		return CommandBody{}, fmt.Errorf("the command needs a key of 1 to %d printable characters, a new one for each decision", maxKeyBytes)
	case !slices.Contains(mix.Verbs(), mix.Verb(c.Do)):
		return CommandBody{}, fmt.Errorf("the command %q is not known", c.Do)
	case start && c.Start == nil:
		return CommandBody{}, errors.New("a start needs to say what: a recipe_id and an amount")
	case !start && c.Start != nil:
		return CommandBody{}, fmt.Errorf("only a start names a recipe, the command %q does not", c.Do)
	case start && (c.Start.Kind == kindArea) != (c.Start.Job != nil):
		return CommandBody{}, fmt.Errorf("a start by %q needs a job, and no other kind has one", kindArea)
	case start && (c.Start.RecipeID == "" || len(c.Start.RecipeID) > maxIDBytes):
		return CommandBody{}, fmt.Errorf("a start needs a recipe_id of 1 to %d characters", maxIDBytes)
	}
	return c, nil
}

// decodeStrict reads exactly one JSON value that has no field unknown to v.
func decodeStrict(body io.Reader, v any) error {
	d := json.NewDecoder(body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return unread(err)
	}
	_, err := d.Token()
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case isTooLarge(err):
		return err
	}
	return errors.New("something follows the command in the body: send one at a time")
}

// unread says for who wrote the request why a body is not what was wanted.
func unread(err error) error {
	var misfit *json.UnmarshalTypeError
	switch {
	case errors.Is(err, io.EOF):
		return errors.New("the body is empty: send a JSON object")
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("the body ends in the middle of its JSON")
	case errors.As(err, &misfit) && misfit.Field == "":
		return fmt.Errorf("the body is %s where %s belongs", aOrAn(misfit.Value), wanted(misfit.Type))
	case errors.As(err, &misfit):
		return fmt.Errorf("the body could not be read: %s is %s where %s belongs", misfit.Field, aOrAn(misfit.Value), wanted(misfit.Type))
	case strings.HasPrefix(err.Error(), "json: "):
		return fmt.Errorf("the body could not be read: %s", strings.TrimPrefix(err.Error(), "json: "))
	}
	return fmt.Errorf("the body could not be read: %w", err)
}

// wanted is what a field takes, in words for who wrote the request.
func wanted(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Float64:
		return "a number of usual size"
	case reflect.Uint64:
		return "a whole number from 0"
	case reflect.Int:
		return "a whole number"
	case reflect.String:
		return "a text"
	}
	return "an object"
}

func aOrAn(noun string) string {
	if strings.HasPrefix(noun, "a") || strings.HasPrefix(noun, "o") {
		return "an " + noun
	}
	return "a " + noun
}

func printable(s string) bool {
	return utf8.ValidString(s) && strings.IndexFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) < 0
}

func isJSON(r *http.Request) bool {
	kind, parameters, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	charset, named := parameters["charset"]
	return err == nil && kind == "application/json" && (!named || strings.EqualFold(charset, "utf-8"))
}

func isTooLarge(err error) bool {
	var large *http.MaxBytesError
	return errors.As(err, &large)
}

func (s *Server) refuseBody(w http.ResponseWriter, r *http.Request, err error) {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		s.refuse(w, r, http.StatusRequestEntityTooLarge, "too-large", fmt.Sprintf("The body is larger than %d bytes.", large.Limit))
		return
	}
	s.refuse(w, r, http.StatusBadRequest, "bad-request", sentence(err))
}

// failed answers that something of ours went wrong, and logs it: this is the
// rim.
func (s *Server) failed(w http.ResponseWriter, r *http.Request, doing string, err error) {
	s.log.Error("a request could not be answered", "doing", doing, "err", err)
	what := "The book could not be read: "
	if r.Method != http.MethodGet {
		what = "The book could not take that, and nothing was changed: "
	}
	s.refuse(w, r, http.StatusServiceUnavailable, "book", what+err.Error()+".")
}

// statusOf is a refusal in the words of HTTP: a conflict with the batch as it
// is, an order that can not be done, or a daemon that can not work now.
func statusOf(c mix.RefusalCode) int {
	switch c {
	case mix.RefusedOrder:
		return http.StatusUnprocessableEntity
	case mix.RefusedFrozen:
		return http.StatusServiceUnavailable
	}
	return http.StatusConflict
}

// sentence makes an error into one.
func sentence(err error) string { return ended(upperFirst(err.Error())) }

func upperFirst(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + text[size:]
}

// ended gives a sentence its full stop, unless it has an end: a reason may be
// a question already.
func ended(text string) string {
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}
