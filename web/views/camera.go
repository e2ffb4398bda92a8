package views

import (
	"context"

	"fairladle/challenge/draw"
	"fairladle/store"
)

// A Camera is the page that may be filmed. It can hold no name but a credit
// that was asked for and agreed to, and no address.
type Camera struct {
	Language  string
	Challenge string
	Round     string
	Tie       bool
	Titles    bool // the host chose to show them
	Ended     bool // every place is filled
	First     int  // what stands in the first place, once there is one
	Void      bool
	Awaits    draw.Awaits
	Envelopes []Envelope
	More      int // envelopes that do not fit
	Dice      draw.Dice
	Table     []FaceRow
	TableMore int // lines of the table that do not fit
	Place     int // that is rolled for
	Throw     int
	Throws    int
	Rolls     []CameraRoll // the newest first
	Opened    int          // 0 closed, 1 title, 2 recipe, 3 credit
	Drawn     *store.Drawn
	Reading   Reading
	Credit    store.Credit
	Step      int // changes with every event
}

// An Envelope is one entry of the list, closed.
type Envelope struct {
	Number int
	Title  string // where titles are shown
	Place  int    // 0 until it is drawn
}

// A CameraRoll is a roll as it is filmed.
type CameraRoll struct{ Faces, Means string }

// NewCameraRoll writes a roll for the camera.
func NewCameraRoll(ctx context.Context, tie bool, r draw.Roll) CameraRoll {
	return CameraRoll{joinInts(r.Dice), rollMeans(ctx, r, func(ctx context.Context, n int) string { return label(ctx, tie, n) })}
}

func (p Camera) label(ctx context.Context, number int) string { return label(ctx, p.Tie, number) }

func (p Camera) placeName(ctx context.Context, place int) string {
	if p.Tie {
		return t(ctx, "Place %v", place)
	}
	return PlaceName(ctx, place)
}

// label is how an entry or a plate is called where names must not stand.
func label(ctx context.Context, tie bool, number int) string {
	if tie {
		return t(ctx, "Plate %v", number)
	}
	return t(ctx, "No. %v", number)
}
