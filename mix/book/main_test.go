package book

import (
	"os"
	"testing"

	"go.uber.org/goleak"
)

// childEnv makes the test binary do one job in a process of its own and end.
const childEnv = "GRAMCUP_BOOK_CHILD"

func TestMain(m *testing.M) {
	if job := os.Getenv(childEnv); job != "" {
		os.Exit(child(job, os.Args[len(os.Args)-1]))
	}
	goleak.VerifyTestMain(patient{m})
}

// patient gives what ends by itself the time for that before leaks are looked
// for: on a loaded machine the half second of goleak is too short. Only what
// never ends is still there after all of it.
type patient struct{ *testing.M }

func (p patient) Run() int {
	code := p.M.Run()
	for tries := 0; tries < 240 && goleak.Find() != nil; tries++ { // each takes half a second
	}
	return code
}
