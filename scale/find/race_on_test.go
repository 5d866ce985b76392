//go:build race

package find_test

const raceDetector = true
