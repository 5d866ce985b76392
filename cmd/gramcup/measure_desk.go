package main

import (
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
