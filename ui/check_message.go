package ui

import (
	"gramcup/scale/checkup"
)

// This file is what /api/scale/check speaks, as JSON. Fields are only ever
// added. Masses are exact decimal numbers of grams; what is not known is 0, a
// list is never null.

// CheckState is the reply to GET /api/scale/check.
type CheckState struct {
	Version   uint64        `json:"version"` // what a command must name
	Walk      *CheckWalk    `json:"walk"`    // null while no check is under way
	Said      string        `json:"said"`    // how the last one ended, a sentence or ""
	NotNow    string        `json:"not_now"` // why none can be started, a sentence or ""
	Identity  string        `json:"identity"`
	Division  checkup.Grams `json:"division_g"`
	Last      *CheckLast    `json:"last"`   // null if this scale never had one
	DueMS     int64         `json:"due_ms"` // Unix time, 0 for never
	Overdue   bool          `json:"overdue"`
	DueText   string        `json:"due_text"` // a sentence
	Line      string        `json:"line"`     // for the idle bench: overdue or not passed; "" is well
	Advice    []CheckAdvice `json:"advice"`   // for the plate that was asked about
	Usual     string        `json:"usual"`    // the usual weights in words
	Missing   string        `json:"missing"`  // what of the plate is missing, a sentence or ""
	Cautions  []string      `json:"cautions"` // what to see to before a check
	WeightsAs []string      `json:"weight_classes"`
	Plate     CheckPlate    `json:"plate"` // as asked about, else as in the last check
	Source    string        `json:"limit_source"`
	Says      string        `json:"disclaimer"`
	Broken    *BrokenWalk   `json:"broken"`   // a check that was broken off; null for none
	PutAway   string        `json:"put_away"` // one was put away and can come back, a sentence or ""
}

// CheckWalk is the check under way.
type CheckWalk struct {
	Step        string            `json:"step"`     // checkup.Step
	Sentence    string            `json:"sentence"` // what to do now
	Waits       string            `json:"waits"`    // why nothing is taken now, "" if all is well
	Place       string            `json:"place"`    // checkup.Place of the next reading
	Still       bool              `json:"still"`
	ThisIsIt    bool              `json:"this_is_it"` // that command is on offer
	Readings    []checkup.Reading `json:"readings"`
	Of          int               `json:"of"` // how many there will be
	Nominal     checkup.Grams     `json:"weight_nominal_g"`
	Weight      string            `json:"weight"` // "1 kg, class F2"
	Limit       checkup.Grams     `json:"limit_g"`
	ZeroLimit   checkup.Grams     `json:"zero_limit_g"`
	SpreadLimit checkup.Grams     `json:"spread_limit_g"`
	Class       string            `json:"class"`
	Guessed     bool              `json:"class_guessed"`
	CornersNote string            `json:"corners_note"` // why corners are not judged, "" if they are
	Record      *checkup.Record   `json:"record"`       // once step is "done"
	Verdict     string            `json:"verdict"`
	WhatNow     string            `json:"what_now"` // after one that was not passed
}

// CheckLast is the newest check of the scale in the book.
type CheckLast struct {
	checkup.Kept
	Verdict string `json:"verdict"`
	Weight  string `json:"weight"`
}

// CheckAdvice says which weight of one size fits.
type CheckAdvice struct {
	Nominal  checkup.Grams `json:"weight_nominal_g"`
	Name     string        `json:"name"` // "1 kg"
	Limit    checkup.Grams `json:"limit_g"`
	Coarsest string        `json:"coarsest_class"` // "" if none is good enough
	Fits     []string      `json:"fits"`           // classes that are good enough
	Corners  bool          `json:"corners"`        // can be judged with it
}

// CheckPlate is what the plate of the scale says.
type CheckPlate struct {
	Capacity checkup.Grams `json:"capacity_g"`
	Interval checkup.Grams `json:"interval_e_g"` // 0 is the division
	Class    string        `json:"class"`        // "" is not given
	Guess    string        `json:"class_guess"`  // what is then taken, "" if nothing can be
}

// The commands of a check.
const (
	checkStart    = "start"
	checkBack     = "back"
	checkAgain    = "again"
	checkCancel   = "cancel"
	checkThisIsIt = "this-is-it"
	checkKeep     = "keep"
)

// CheckBody is what a page posts to /api/scale/check.
type CheckBody struct {
	Key     string      `json:"key"`
	Version uint64      `json:"version"` // of the state that was on screen
	Do      string      `json:"do"`      // start, back, again, cancel, this-is-it, keep, go-on, put-away or undo-put-away
	Start   *CheckStart `json:"start,omitempty"`
	Confirm bool        `json:"confirm,omitempty"` // go on although it asks
}

// CheckStart says with which weight, on which scale.
type CheckStart struct {
	Capacity    checkup.Grams `json:"capacity_g,omitempty"`
	Interval    checkup.Grams `json:"interval_e_g,omitempty"`
	Class       string        `json:"class,omitempty"`
	Nominal     checkup.Grams `json:"weight_nominal_g"`
	WeightClass string        `json:"weight_class"`
	WeightID    string        `json:"weight_id,omitempty"`
	Corners     bool          `json:"corners,omitempty"`
}

// CheckAnswer is the reply to a command: OK with the state after it, or a
// refusal with its code and sentence.
type CheckAnswer struct {
	OK       bool        `json:"ok"`
	Code     string      `json:"code,omitempty"`
	Sentence string      `json:"sentence,omitempty"`
	State    *CheckState `json:"state,omitempty"`
}
