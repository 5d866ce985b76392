package book

import (
	"os"
	"testing"

	"go.uber.org/goleak"

	"gramcup/scale/scaletest"
)

// childEnv makes the test binary do one job in a process of its own and end.
const childEnv = "GRAMCUP_BOOK_CHILD"

func TestMain(m *testing.M) {
	if job := os.Getenv(childEnv); job != "" {
		os.Exit(child(job, os.Args[len(os.Args)-1]))
	}
	goleak.VerifyTestMain(scaletest.Patient{M: m})
}
