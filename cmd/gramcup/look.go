package main

import (
	"errors"
	"fmt"
	"io/fs"

	"gramcup/mix/book"
)

// ask asks the book in a folder, and leaves it as it is; a bench may be working
// on it.
func ask(folder string, question func(*book.Book) error) (err error) {
	b, err := book.Look(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return noBook{folder}
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	return question(b)
}

// noBook is the error of a folder without one.
type noBook struct{ folder string }

// Error says what would be right.
func (n noBook) Error() string {
	return fmt.Sprintf("there is no book in %s: name its folder with --data", n.folder)
}

// Is makes it the absence of a file.
func (noBook) Is(target error) bool { return target == fs.ErrNotExist }
