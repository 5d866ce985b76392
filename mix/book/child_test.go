package book

import (
	"fmt"
	"os"

	"gramcup/mix"
	"gramcup/scale"
)

// child runs a job in its own process and gives the exit code.
func child(job, dir string) int {
	jobs := map[string]func(string) error{"append": appendForEver, "open": openOnce, "disk": diskError, "room": noRoom, "checks": keepForEver}
	if err := jobs[job](dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// appendForEver goes on with the unfinished batch and prints what was
// acknowledged, until it is killed. After 40 events it begins another batch.
func appendForEver(dir string) error {
	b, err := Open(dir)
	if err != nil {
		return err
	}
	events, _, err := b.Unfinished()
	if err != nil {
		return err
	}
	id, seq := fmt.Sprintf("batch-%d", os.Getpid()), uint64(0)
	if n := len(events); n > 0 {
		id, seq = events[n-1].Batch, events[n-1].Seq
	}
	for batch := 0; ; batch++ {
		for seq < 40 {
			seq++
			var e mix.Event = mix.Rested{Net: scale.Mass(seq)}
			switch seq {
			case 1:
				e = started()
			case 40:
				e = mix.Completed{}
			}
			if err := b.Append(recorded(id, seq, e), []byte{byte(seq)}, nil); err != nil {
				return err
			}
			fmt.Println(id, seq)
		}
		id, seq = fmt.Sprintf("batch-%d-%d", os.Getpid(), batch), 0
	}
}

// openOnce tells whether the book can be opened.
func openOnce(dir string) error {
	b, err := Open(dir)
	if err != nil {
		return err
	}
	return b.Close()
}
