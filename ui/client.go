package ui

import (
	"time"

	"github.com/gorilla/websocket"
)

// client is one page. Its pump is the only goroutine that writes messages to
// it; the goroutine that accepted it reads, which is only needed to hear pongs
// and the end.
type client struct {
	hub     *Hub
	conn    *websocket.Conn
	address string
	wake    chan struct{} // room for one: "there is something newer"
	gone    chan struct{} // closed when reading has ended

	// What was sent last, known to the pump alone.
	view, health *message
	weight       *weightMessage
	scratch      []byte
}

// run serves the page until either side ends it. When it returns both
// goroutines are done and the connection is closed.
func (c *client) run() {
	done := make(chan struct{})
	go func() {
		defer close(done)
		c.pump()
	}()
	c.read()
	close(c.gone)
	<-done
	_ = c.conn.Close() // nothing more is to be said; it may be closed already
}

// read hears pongs and the end. A page has nothing to say here: commands are
// posted, where every gate stands before them.
func (c *client) read() {
	c.conn.SetReadLimit(readLimit)
	c.hears()
	c.conn.SetPongHandler(func(string) error { c.hears(); return nil })
	c.conn.SetPingHandler(func(data string) error {
		return c.conn.WriteControl(websocket.PongMessage, []byte(data), time.Now().Add(writeWait))
	})
	if _, _, err := c.conn.NextReader(); err == nil {
		c.say(websocket.ClosePolicyViolation, "the stream takes no messages: post commands")
		// Closing over what was not read would reset the connection, and with
		// it take back what was just said.
		_ = c.conn.SetReadDeadline(time.Now().Add(goodbyeWait))
		c.conn.SetPongHandler(nil)
		for err == nil {
			_, _, err = c.conn.NextReader()
		}
	}
}

func (c *client) hears() { _ = c.conn.SetReadDeadline(time.Now().Add(pongWait)) }

func (c *client) say(code int, text string) {
	deadline := time.Now().Add(goodbyeWait)
	_ = c.conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, text), deadline)
}

// pump writes until the page is gone, is too slow, or the hub closes.
func (c *client) pump() {
	beat := time.NewTimer(beatEvery)
	defer beat.Stop()
	ping := time.NewTicker(pingEvery)
	defer ping.Stop()
	hello := c.hub.hello
	hello.NowMS = time.Now().UnixMilli()
	err := c.write(encode(c.hub.log, hello))
	if err == nil {
		err = c.sendNewer(beat)
	}
	for err == nil {
		select {
		case <-c.wake:
			err = c.sendNewer(beat)
		case <-beat.C:
			err = c.sendWeight(c.weight, beat)
		case <-ping.C:
			err = c.conn.WriteControl(websocket.PingMessage, nil, time.Now().Add(writeWait))
		case <-c.gone:
			return
		case <-c.hub.closing:
			c.say(websocket.CloseGoingAway, "the daemon is stopping")
			c.awaitGoodbye()
			return
		}
	}
	select {
	case <-c.gone: // it left, there is nothing to report
	default:
		c.hub.log.Info("page dropped, it does not take what is sent", "address", c.address, "err", err)
	}
	_ = c.conn.Close() // ends the reading too
}

// awaitGoodbye gives the page a moment to answer, so that the last words are
// not lost with the connection, and then ends the reading.
func (c *client) awaitGoodbye() {
	patience := time.NewTimer(goodbyeWait)
	defer patience.Stop()
	select {
	case <-c.gone:
	case <-patience.C:
	}
	_ = c.conn.Close()
}

// sendNewer sends what the page has not seen. The weight is looked at first
// and sent last: the view that it belongs to was stored before it, so a page
// never gets a weight of a batch that it was not shown.
func (c *client) sendNewer(beat *time.Timer) error {
	weight, view, health := c.hub.weight.Load(), c.hub.view.Load(), c.hub.health.Load()
	if view != c.view {
		if err := c.write(view.body); err != nil {
			return err
		}
		c.view = view
	}
	if weight != c.weight {
		if err := c.sendWeight(weight, beat); err != nil {
			return err
		}
	}
	if health != c.health {
		if err := c.write(health.body); err != nil {
			return err
		}
		c.health = health
	}
	return nil
}

// sendWeight sends a weight with the age that it has now, and sets the beat
// after which it is sent again if nothing newer came.
func (c *client) sendWeight(w *weightMessage, beat *time.Timer) error {
	beat.Reset(beatEvery)
	c.weight = w
	c.scratch = append(c.scratch[:0], w.body...)
	c.scratch = appendAge(c.scratch, time.Since(w.heard).Milliseconds())
	return c.write(c.scratch)
}

func (c *client) write(body []byte) error {
	if err := c.conn.SetWriteDeadline(time.Now().Add(writeWait)); err != nil {
		return err
	}
	return c.conn.WriteMessage(websocket.TextMessage, body)
}
