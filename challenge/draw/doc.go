// Package draw is the draw anyone can check: a roster frozen beforehand, three
// ways to draw from it (dice on camera, sealed seeds, public sources), and the
// record from which a stranger can do it again.
//
// The package decides nothing by chance: every random value comes in as an
// event, and the same plan, roster and events always give the same result. It
// keeps nothing and reads no clock. It must never let a recorded event be
// changed, left out or drawn again; whoever stores the events only appends.
//
// Start with plan.go for what is fixed beforehand and state.go for how events
// move a draw along; RECORD.md describes the published document.
package draw
