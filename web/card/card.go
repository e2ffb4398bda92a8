package card

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
)

// Width and Height are the size of a card in pixels; 1200 by 630 is the size
// that programs which show such pictures ask for (common practice).
const (
	Width  = 1200
	Height = 630
)

// A Card is what is written on a picture.
type Card struct {
	Over  string // small, above the title
	Title string
	Under string // below the title
	Foot  string // the site
	Play  bool   // it stands for a video
	Run   []bool // a knot of the thread for each round: whether it is done and shown
}

// Sum names the picture: it changes with what is on it, and with how cards are
// drawn.
func (c Card) Sum() string {
	b, err := json.Marshal(c)
	if err != nil {
		panic(fmt.Sprintf("a card holds only plain values: %v", err))
	}
	sum := sha256.Sum256(append(b, looks...))
	return hex.EncodeToString(sum[:8])
}

// looks is raised when cards are drawn differently.
const looks = "1"

// The light colours of the style sheet.
var (
	ground = color.RGBA{0xfc, 0xfb, 0xf8, 0xff}
	ink    = color.RGBA{0x22, 0x1f, 0x1d, 0xff}
	soft   = color.RGBA{0x5f, 0x58, 0x52, 0xff}
	line   = color.RGBA{0xd9, 0xd3, 0xc9, 0xff}
	edge   = color.RGBA{0x85, 0x7c, 0x72, 0xff}
	accent = color.RGBA{0x5a, 0x23, 0x50, 0xff}
	leaf   = color.RGBA{0x22, 0x60, 0x3a, 0xff}
)

// The thread hangs down the left; words begin at margin.
const (
	thread = 96
	margin = 184
	room   = Width - margin - 72
)

// Draw makes the card as a PNG file.
func Draw(c Card) ([]byte, error) {
	im := image.NewRGBA(image.Rect(0, 0, Width, Height))
	draw.Draw(im, im.Bounds(), image.NewUniform(ground), image.Point{}, draw.Src)
	if c.Play {
		drawPlay(im)
	} else {
		drawThread(im, c.Run)
	}
	if err := c.write(im); err != nil {
		return nil, fmt.Errorf("card: %w", err)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		return nil, fmt.Errorf("card: %w", err)
	}
	return b.Bytes(), nil
}

func (c Card) write(im draw.Image) error {
	y := 118
	if c.Over != "" {
		l, err := set(c.Over, 34, room, 1)
		if err != nil {
			return err
		}
		y = l.draw(im, margin, y, soft) + 24
	}
	title, err := fitting(c.Title)
	if err != nil {
		return err
	}
	y = title.draw(im, margin, y+title.size, ink) + 22
	under, err := set(c.Under, 36, room, 2)
	if err != nil {
		return err
	}
	under.draw(im, margin, y+under.size+14, soft)
	foot, err := set(c.Foot, 32, room, 1)
	if err != nil {
		return err
	}
	foot.draw(im, margin, Height-62, accent)
	return nil
}

// fitting sets a title as large as three lines allow.
func fitting(title string) (l letters, err error) {
	for _, size := range []int{92, 78, 66, 56} {
		if l, err = set(title, size, room, 3); err != nil || !l.cut {
			return l, err
		}
	}
	return l, nil
}
