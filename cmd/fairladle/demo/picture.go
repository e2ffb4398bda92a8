package demo

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
)

// Subject is what a picture shows.
type Subject string

// The subjects that can be painted.
const (
	Pasties   Subject = "pasties"
	Triangles Subject = "triangles"
	Rolls     Subject = "rolls"
	Dumplings Subject = "dumplings"
	Parcels   Subject = "parcels"
	Bowl      Subject = "bowl"
	Loaf      Subject = "loaf"
)

// Subjects lists every subject.
var Subjects = []Subject{Pasties, Triangles, Rolls, Dumplings, Parcels, Bowl, Loaf}

// Photo is the JPEG that came with an entry, or nil if none did: a painted
// still life, the same for the same entry every time.
func (e Entry) Photo() ([]byte, error) {
	if e.Picture == "" {
		return nil, nil
	}
	h := fnv.New64a()
	fmt.Fprint(h, e.Slug, e.Email)
	img, err := Paint(e.Picture, h.Sum64())
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 88}); err != nil {
		return nil, fmt.Errorf("demo: encode: %w", err)
	}
	return b.Bytes(), nil
}

// Paint draws a still life, 900 by 675 pixels. Equal seeds give equal
// pictures.
func Paint(s Subject, seed uint64) (*image.RGBA, error) {
	c := newCanvas(900, 675, rand.New(rand.NewPCG(seed, 17)))
	c.table()
	switch s {
	case Pasties:
		c.tone = c.crust()
		c.plate(300)
		c.arrange(3, 118, c.pasty)
	case Triangles:
		c.tone = c.crust()
		c.plate(300)
		c.arrange(4, 130, c.triangle)
	case Rolls:
		c.tone = c.one(0xd79a4a, 0xe6d9c3, 0x6f8a4a, 0xc77f3a)
		c.plate(310)
		c.arrange(4, 95, c.roll)
	case Dumplings:
		c.tone = c.one(0xf0e4cc, 0xe9d9b8, 0xf4ecdd)
		c.plate(300)
		c.arrange(7, 150, c.dumpling)
	case Parcels:
		c.tone = c.one(0x5f7f3b, 0x4b6b35, 0x7d8f4a, 0x8a2f3c)
		c.plate(290)
		c.arrange(5, 128, c.parcel)
	case Bowl:
		c.bowl()
	case Loaf:
		c.board()
		c.loaf()
	default:
		return nil, fmt.Errorf("demo: no picture of %q", s)
	}
	return c.img, nil
}

// arrange puts n pieces on a ring round the middle of the plate, turned as a
// hand would lay them.
func (c *canvas) arrange(n int, radius float64, piece func(x, y, turn float64)) {
	start := c.rnd.Float64() * 2 * math.Pi
	if n > 5 {
		defer piece(c.mid.x, c.mid.y-10, start)
	}
	for i := range n {
		a := start + 2*math.Pi*float64(i)/float64(n)
		wobble := 0.35 * (c.rnd.Float64() - 0.5)
		piece(c.mid.x+radius*math.Cos(a), c.mid.y+radius*0.8*math.Sin(a)-8, a+math.Pi/2+wobble)
	}
}
