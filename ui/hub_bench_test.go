package ui

import (
	"bytes"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"
)

// BenchmarkPublish is what the bench's own goroutine pays for a reading, with
// pages that take everything.
func BenchmarkPublish(b *testing.B) {
	for _, n := range []int{0, 1, 8} {
		b.Run(fmt.Sprintf("pages=%d", n), func(b *testing.B) {
			r, stop := benchRig(b, n, func(bool) {})
			defer stop()
			live := reading(1)
			b.ReportAllocs()
			for b.Loop() {
				live.At.Mono++
				r.hub.Live(live)
			}
		})
	}
}

// BenchmarkFanOut is the time from a reading to its arrival at every page,
// over loopback TCP.
func BenchmarkFanOut(b *testing.B) {
	for _, n := range []int{1, 8, maxPerAddress} {
		b.Run(fmt.Sprintf("pages=%d", n), func(b *testing.B) {
			var got atomic.Int64
			all := make(chan struct{}, 1)
			r, stop := benchRig(b, n, func(new bool) {
				if new && got.Add(1) == int64(n) {
					got.Store(0)
					all <- struct{}{}
				}
			})
			defer stop()
			live := reading(1)
			took := make([]time.Duration, 0, 1<<16)
			b.ReportAllocs()
			for b.Loop() {
				live.At.Mono++
				live.Seq++
				began := time.Now()
				r.hub.Live(live)
				<-all
				took = append(took, time.Since(began))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-µs")
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-µs")
		})
	}
}

// benchRig opens n pages, each read by a goroutine that says whether
// what came is new.
// It returns when all have got their opening messages.
func benchRig(b *testing.B, n int, got func(new bool)) (*rig, func()) {
	b.Helper()
	r := newRig(b, nil)
	var open []*websocket.Conn
	for range n {
		conn := r.page()
		for range 4 {
			_, _, err := conn.ReadMessage()
			require.NoError(b, err)
		}
		open = append(open, conn)
	}
	for _, conn := range open {
		go func() {
			var last []byte // type and sequence, the same again in a beat
			for {
				_, raw, err := conn.ReadMessage()
				if err != nil {
					return
				}
				head, _, _ := bytes.Cut(raw, []byte(`,"valid"`))
				got(!bytes.Equal(head, last))
				last = head
			}
		}()
	}
	return r, func() {
		for _, conn := range open {
			_ = conn.Close()
		}
	}
}
