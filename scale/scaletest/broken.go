package scaletest

import (
	"flag"
	"runtime"

	"gramcup/scale"
)

// Rules lists the names of what Codec checks.
func Rules() (names []string) {
	for _, rule := range (codec{}).rules() {
		names = append(names, rule.name)
	}
	return names
}

// Breaks reports whether a codec does not keep a rule of Codec. It shows that the
// suite can fail: it is for codecs with a mistake, which Codec would fail on. A
// rule that does not exist is broken by nothing.
func Breaks(c scale.Codec, name string) bool {
	// A failure is meant here: it is neither made smaller nor kept. And what is drawn
	// is the same each time: a mistake that shows once in a hundred must not be missed
	// by bad luck.
	for name, quick := range map[string]string{"rapid.shrinktime": "0s", "rapid.nofailfile": "true", "rapid.seed": "1"} {
		if f := flag.Lookup(name); f != nil {
			before := f.Value.String()
			_ = f.Value.Set(quick)
			defer func() { _ = f.Value.Set(before) }()
		}
	}
	s := codec{c, Probe(c)}
	r := &recorder{}
	for _, rule := range s.rules() {
		if rule.name != name {
			continue
		}
		done := make(chan struct{})
		go func() {
			defer close(done)
			defer func() {
				if recover() != nil {
					r.failed = true
				}
			}()
			rule.holds(r)
		}()
		<-done
	}
	return r.failed
}

// recorder only remembers that something failed.
type recorder struct{ failed bool }

func (r *recorder) Helper()               {}
func (r *recorder) Name() string          { return "a codec with a mistake" }
func (r *recorder) Log(...any)            {}
func (r *recorder) Logf(string, ...any)   {}
func (r *recorder) Skip(...any)           { r.SkipNow() }
func (r *recorder) Skipf(string, ...any)  { r.SkipNow() }
func (r *recorder) SkipNow()              { runtime.Goexit() }
func (r *recorder) Error(...any)          { r.failed = true }
func (r *recorder) Errorf(string, ...any) { r.failed = true }
func (r *recorder) Fail()                 { r.failed = true }
func (r *recorder) Failed() bool          { return r.failed }
func (r *recorder) Fatal(...any)          { r.FailNow() }
func (r *recorder) Fatalf(string, ...any) {
	r.FailNow()
}

func (r *recorder) FailNow() {
	r.failed = true
	runtime.Goexit()
}
