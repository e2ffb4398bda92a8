package demo

import (
	"image"
	"math"
	"math/rand/v2"
)

type point struct{ x, y float64 }

// colour is red, green and blue from 0 to 1.
type colour [3]float64

func rgb(hex uint32) colour {
	return colour{float64(hex>>16) / 255, float64(hex>>8&255) / 255, float64(hex&255) / 255}
}

// mix goes from a to b as t goes from 0 to 1.
func mix(a, b colour, t float64) colour {
	t = min(max(t, 0), 1)
	for i := range a {
		a[i] += (b[i] - a[i]) * t
	}
	return a
}

func (k colour) lit(f float64) colour { return colour{k[0] * f, k[1] * f, k[2] * f} }

type canvas struct {
	img  *image.RGBA
	rnd  *rand.Rand
	mid  point
	tone colour // of all pieces on the plate
}

func newCanvas(w, h int, rnd *rand.Rand) *canvas {
	return &canvas{img: image.NewRGBA(image.Rect(0, 0, w, h)), rnd: rnd, mid: point{float64(w) / 2, float64(h)/2 + 10}}
}

func (c *canvas) one(of ...uint32) colour { return rgb(of[c.rnd.IntN(len(of))]) }

// piece is the tone of one piece: no two are baked quite alike.
func (c *canvas) piece() colour { return c.tone.lit(0.93 + 0.14*c.rnd.Float64()) }

// outline is the signed distance, in pixels, of a place to the edge of a shape
// around the origin; negative inside.
type outline func(x, y float64) float64

// shade is the colour at a place, and how much it covers what lies below.
type shade func(x, y float64) (k colour, cover float64)

// fill paints a shape at (px, py), turned by an angle, with soft edges of the
// given width. Places are those of the shape, before it is turned; reach is the
// farthest that it goes from its middle.
func (c *canvas) fill(px, py, turn, reach, soft float64, in outline, with shade) {
	sin, cos := math.Sincos(turn)
	box := image.Rect(int(px-reach), int(py-reach), int(px+reach)+2, int(py+reach)+2).Intersect(c.img.Rect)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			dx, dy := float64(x)-px, float64(y)-py
			u, v := dx*cos+dy*sin, dy*cos-dx*sin
			edge := min(max(0.5-in(u, v)/soft, 0), 1)
			if edge == 0 {
				continue
			}
			k, cover := with(u, v)
			c.blend(x, y, k, cover*edge)
		}
	}
}

func (c *canvas) blend(x, y int, k colour, cover float64) {
	p := c.img.Pix[c.img.PixOffset(x, y):][:4]
	for i := range 3 {
		old := float64(p[i]) / 255
		p[i] = byte(math.Round(255 * min(max(old+(k[i]-old)*cover, 0), 1)))
	}
	p[3] = 255
}

func ellipse(rx, ry float64) outline {
	return func(x, y float64) float64 {
		return (math.Hypot(x/rx, y/ry) - 1) * min(rx, ry)
	}
}

// halfMoon is the upper half of an ellipse, with a rounded fold.
func halfMoon(rx, ry float64) outline {
	e := ellipse(rx, ry)
	return func(x, y float64) float64 { return max(e(x, y), y-0.28*ry+0.0015*x*x) }
}

// wedge is a triangle with its middle at the origin and rounded corners.
func wedge(r float64) outline {
	return func(x, y float64) float64 {
		x = math.Abs(x)
		return max(y-0.5*r, x*0.866-y*0.5-0.5*r, (math.Hypot(x, y)-0.92*r)*0.9)
	}
}

func capsule(half, r float64) outline {
	return func(x, y float64) float64 {
		return math.Hypot(x-min(max(x, -half), half), y) - r
	}
}

func flat(k colour, cover float64) shade {
	return func(float64, float64) (colour, float64) { return k, cover }
}

// shadow darkens what lies under a shape, a little down and to the right.
func (c *canvas) shadow(px, py, turn, reach float64, in outline) {
	c.fill(px+9, py+12, turn, reach+30, 26, in, flat(colour{0.08, 0.05, 0.03}, 0.42))
}
