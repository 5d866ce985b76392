package scale

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestAMarkIsDoubtedAndTrustedAgain(t *testing.T) {
	var m Mark
	at, rested := time.Duration(0), 40 // what rested before it began to move says nothing
	note := func(motion Motion, n int) {
		for range n {
			at += 100 * time.Millisecond
			m.Note(at, motion, rested)
		}
	}
	note(MotionStill, 30)
	note(MotionMoving, 600)
	assert.False(t, m.Doubted, "a minute of moving without a rest is a pour")
	rested += restsDoubted - 1
	note(MotionMoving, 1)
	assert.False(t, m.Doubted)
	rested++
	note(MotionMoving, 1)
	assert.True(t, m.Doubted)
	note(MotionStill, 5)
	note(MotionMoving, 5)
	assert.True(t, m.Doubted, "a lucky moment")
	note(MotionStill, 12)
	assert.False(t, m.Doubted, "it can say so after all")
	note(MotionMoving, 50)
	assert.False(t, m.Doubted, "and has to be doubted anew")
	rested += restsDoubted
	note(MotionMoving, 1)
	assert.True(t, m.Doubted)
	note(MotionUnknown, 1)
	assert.False(t, m.Doubted, "it gives no mark any more")
}
