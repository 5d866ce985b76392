package port

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"gramcup/scale"
)

// troubleDiary is a diary that is also told why nothing is heard.
type troubleDiary struct{ *diary }

func (d troubleDiary) Trouble(at time.Time, reason string) {
	d.add(event{what: "trouble", at: at, text: reason})
}

func (d troubleDiary) reasons() (all []string) {
	for _, e := range d.all("trouble", "lost", "found") {
		if e.what == "found" {
			e.text = "found"
		}
		all = append(all, e.text)
	}
	return all
}

func TestWhyNothingIsHeardIsTold(t *testing.T) {
	bubble(t, func(t *testing.T) {
		wrong := &benchScale{codec: scale.Letters{}, tenths: 4126, talks: true}
		right := &benchScale{codec: scale.CSV{}, tenths: 4126, talks: true}
		there := fmt.Errorf("no such port: %w", fs.ErrNotExist)
		missing := Opener(func(context.Context) (io.ReadWriteCloser, error) { return nil, there })
		var mu sync.Mutex
		var wire io.Closer
		open := missing
		plug := func(o Opener) {
			mu.Lock()
			defer mu.Unlock()
			open = o
		}
		d := troubleDiary{newDiary(t)}
		p, stop := start(t, Config{Codec: scale.CSV{}, Open: func(ctx context.Context) (io.ReadWriteCloser, error) {
			mu.Lock()
			defer mu.Unlock()
			w, err := open(ctx)
			wire = w
			return w, err
		}}, d)
		defer stop()
		time.Sleep(2 * time.Second)
		assert.Equal(t, []string{there.Error()}, d.reasons(), "once, though it is looked for again and again")
		assert.True(t, p.Stats().Absent)

		plug(wrong.pipes())
		defer func() { assert.False(t, p.Stats().Absent, "another reason by now") }()
		time.Sleep(10 * time.Second)
		looks := "nothing readable comes from the scale: the lines look like letters, not csv: set the line shape to letters"
		assert.Equal(t, []string{there.Error(), looks}, d.reasons())

		plug(right.pipes())
		time.Sleep(10 * time.Second)
		assert.Equal(t, "found", d.reasons()[2])

		plug(missing)
		mu.Lock()
		_ = wire.Close()
		mu.Unlock()
		time.Sleep(5 * time.Second)
		assert.Len(t, d.reasons(), 5, "lost, with the same reason once more, and nothing of a port that is still missing: %q", d.reasons())

		plug(wrong.pipes())
		time.Sleep(10 * time.Second)
		assert.Equal(t, looks, d.reasons()[5], "what is plugged in now is another trouble than that it was unplugged")
	})
}
