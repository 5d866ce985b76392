// Package book keeps what happened on disk: the events of every batch, the
// weight traces, a summary row of each ended batch, and the shelf of recipes.
//
// It is one SQLite file in one folder. Append answers only after a commit with
// synchronous=FULL, because a batch that was shown as accepted must outlive a
// power cut. Events, traces, summaries and earlier versions of recipes are
// never changed or deleted; the file itself refuses it.
//
// One connection writes, a small pool that can only read answers everything
// else, and a lock beside the file keeps a second process out. The database
// file is never opened other than through SQLite: closing any other handle on
// it would drop SQLite's locks (POSIX fcntl locks belong to the process).
package book
