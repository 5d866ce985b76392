package main

import (
	"time"

	"gramcup/mix"
	"gramcup/mix/book"
)

// greyBook is the book as the desk of the undercoats wants it, see again.
type greyBook struct{ *book.Book }

// PutGrey keeps a system, see ui.GreyBook.
func (b greyBook) PutGrey(s mix.GreySystem, at time.Time) error {
	_, err := again(b.Book, func() (bool, error) { return true, b.Book.PutGrey(s, at) })
	return err
}

// TakeGrey takes one away, see ui.GreyBook.
func (b greyBook) TakeGrey(id string, at time.Time) (bool, error) {
	return again(b.Book, func() (bool, error) { return b.Book.TakeGrey(id, at) })
}
