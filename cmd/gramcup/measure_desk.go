package main

import (
	"time"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/ui"
)

// measureDesk makes the owner of a density that is measured.
func measureDesk(shelf *ui.ShelfDesk, hub *ui.Hub, walks *ui.Walks) *ui.MeasureDesk {
	return ui.NewMeasureDesk(ui.MeasureConfig{Shelf: shelf, Walks: walks, Manner: hub.Manner})
}

// shelfBook is the book as the shelf's editor wants it, see again.
type shelfBook struct{ *book.Book }

// PutRecipe puts a recipe on the shelf, see ui.ShelfBook.
func (b shelfBook) PutRecipe(r mix.Recipe) error {
	_, err := again(b.Book, func() (bool, error) { return true, b.Book.PutRecipe(r) })
	return err
}

// TakeRecipe takes one off, see ui.ShelfBook.
func (b shelfBook) TakeRecipe(id string) (bool, error) {
	return again(b.Book, func() (bool, error) { return b.Book.TakeRecipe(id) })
}

// cupDesk makes the owner of cups that are measured with water.
func cupDesk(b *book.Book, hub *ui.Hub, walks *ui.Walks) *ui.CupDesk {
	return ui.NewCupDesk(ui.CupConfig{Book: cupBook{b}, Walks: walks, Manner: hub.Manner, NewID: func() string { return newID("cup") }})
}

// cupBook is the book as the desk of cups wants it, see again.
type cupBook struct{ *book.Book }

// PutCup keeps a cup, see ui.CupBook.
func (b cupBook) PutCup(c mix.Cup, at time.Time) error {
	_, err := again(b.Book, func() (bool, error) { return true, b.Book.PutCup(c, at) })
	return err
}

// TakeCup takes one off the list, see ui.CupBook.
func (b cupBook) TakeCup(id string, at time.Time) (bool, error) {
	return again(b.Book, func() (bool, error) { return b.Book.TakeCup(id, at) })
}

// BringCup brings one back, see ui.CupBook.
func (b cupBook) BringCup(id string, at time.Time) (bool, error) {
	return again(b.Book, func() (bool, error) { return b.Book.BringCup(id, at) })
}

// walkBook is the book as the desk of the guided walks wants it, see again.
type walkBook struct{ *book.Book }

// PutWalk keeps what a walk has noted, see ui.WalkBook.
func (b walkBook) PutWalk(kind string, body []byte, at time.Time) error {
	_, err := again(b.Book, func() (bool, error) { return true, b.Book.PutWalk(kind, body, at) })
	return err
}
