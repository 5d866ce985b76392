package main

import (
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// BenchmarkFrameToPage measures the way of one frame from a pseudo-terminal to
// the message at a websocket client, with the real serial library, the codec,
// a batch in mid-pour and JSON in between, and beside it, frame by frame in
// the same run, a bare relay of the same bytes (socat, pseudo-terminal → TCP).
// A ratio against a peer in one run means something on a noisy machine; an
// absolute limit would not.
func BenchmarkFrameToPage(b *testing.B) {
	ours, theirs := newBenchPath(b), newRelayPath(b)
	for i := range 200 { // warm up: caches, the scheduler, the kernel's buffers
		ours.send(b, i)
		theirs.send(b, i)
	}
	var mine, relay []time.Duration
	b.ResetTimer()
	for i := 0; b.Loop(); i++ {
		mine = append(mine, ours.send(b, i))
		relay = append(relay, theirs.send(b, i))
		// A scale does not send back to back; a pause of its own length each
		// time keeps the two from marching in step with anything.
		time.Sleep(time.Duration(1500+rand.IntN(1500)) * time.Microsecond)
	}
	b.StopTimer()
	m50, m99 := quantiles(mine)
	r50, r99 := quantiles(relay)
	b.ReportMetric(float64(m50.Microseconds()), "p50-µs")
	b.ReportMetric(float64(m99.Microseconds()), "p99-µs")
	b.ReportMetric(float64(m50)/float64(r50), "×relay-p50")
	b.Logf("\n%-44s %8s %8s   (%d frames)\nframe on a pseudo-terminal → websocket client %7d µs %6d µs\nbare relay, pseudo-terminal → TCP client      %7d µs %6d µs\nratio                                         %8.2f × %6.2f ×",
		"", "p50", "p99", len(mine), m50.Microseconds(), m99.Microseconds(), r50.Microseconds(), r99.Microseconds(),
		float64(m50)/float64(r50), float64(m99)/float64(r99))
}

func quantiles(d []time.Duration) (p50, p99 time.Duration) {
	s := slices.Clone(d)
	slices.Sort(s)
	return s[len(s)/2], s[len(s)*99/100]
}

// path sends frame i and waits until it has arrived.
type path struct {
	pty     *simulator.Pty
	arrives func(i int)
}

// frame i is a moving net weight of which no two in a row are alike.
func frame(i int) []byte {
	return scale.SMA{}.Encode(nil, scale.Reading{
		Number: scale.Decimal{Coefficient: uint64(1000 + i%100), Places: 1, Lead: 1}, HasNumber: true,
		Unit: scale.UnitGram, Mode: scale.ModeNet, Motion: scale.MotionMoving,
	})
}

func (p *path) send(b testing.TB, i int) time.Duration {
	bytes := frame(i)
	began := time.Now()
	_, err := p.pty.Write(bytes)
	require.NoError(b, err)
	p.arrives(i)
	return time.Since(began)
}

func newPath(b testing.TB) *path {
	pty, err := simulator.OpenPty("")
	require.NoError(b, err)
	b.Cleanup(func() { _ = pty.Close() })
	return &path{pty: pty}
}

// newBenchPath is gramcup serve as a process of its own, as the relay is one,
// on the pseudo-terminal, with a batch in mid-pour and one page.
func newBenchPath(b testing.TB) *path {
	p := newPath(b)
	go func() { _, _ = io.Copy(io.Discard, p.pty) }() // what the bench asks of the scale
	address := startProgram(b, "serve", "--scale", p.pty.Path, "--data", b.TempDir(), "--listen", "127.0.0.1:0").address
	page := dialPage(b, address)
	intoMidPour(b, p, page)
	p.arrives = func(i int) {
		want := fmt.Sprintf(`"shown_g":%s,`, strings.TrimSuffix(scale.Decimal{Coefficient: uint64(1000 + i%100), Places: 1, Lead: 1}.String(), ".0"))
		for {
			_, message, err := page.conn.ReadMessage()
			require.NoError(b, err)
			if strings.Contains(string(message), want) {
				return
			}
		}
	}
	return p
}

// intoMidPour starts a batch and sends what a scale would until the first
// component is asked for.
func intoMidPour(b testing.TB, p *path, page *page) {
	stop := make(chan struct{})
	show := make(chan scale.Reading, 1)
	still := scale.Reading{HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill,
		Number: scale.Decimal{Places: 1, Lead: 1}}
	done := make(chan struct{})
	go func() {
		defer close(done)
		r := still
		for {
			select {
			case <-stop:
				return
			case r = <-show:
			case <-time.After(50 * time.Millisecond):
			}
			_, _ = p.pty.Write(scale.SMA{}.Encode(nil, r))
		}
	}()
	waitWeight(b, page)
	started := page.post(b, ui.CommandBody{Do: string(mix.VerbStart), Start: &ui.StartBody{RecipeID: firstRecipe(b, page), Kind: "volume", ML: 600}})
	require.True(b, started.OK, started.Sentence)
	cup, net := still, still
	cup.Number.Coefficient = 420
	net.Mode = scale.ModeNet
	show <- cup
	for page.view.Phase != string(mix.PhaseTare) {
		page.next(b)
	}
	show <- net
	for page.view.Phase != string(mix.PhasePour) {
		page.next(b)
	}
	close(stop)
	<-done
}

// newRelayPath is socat between the pseudo-terminal and a TCP client: no
// codec, no batch, no JSON, no websocket.
func newRelayPath(b testing.TB) *path {
	socat, err := exec.LookPath("socat")
	require.NoError(b, err, "the benchmark's peer is missing: apt-get install socat")
	p := newPath(b)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(b, err)
	cmd := exec.Command(socat, "-u", "FILE:"+p.pty.Path+",rawer", "TCP:"+listener.Addr().String()+",nodelay")
	cmd.Stderr = os.Stderr
	require.NoError(b, cmd.Start())
	b.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait(); _ = listener.Close() })
	conn, err := listener.Accept()
	require.NoError(b, err)
	b.Cleanup(func() { _ = conn.Close() })
	buf := make([]byte, len(frame(0)))
	p.arrives = func(int) {
		_, err := io.ReadFull(conn, buf)
		require.NoError(b, err)
	}
	return p
}
