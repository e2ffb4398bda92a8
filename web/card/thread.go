package card

import (
	"image"
	"image/color"
	"image/draw"

	"golang.org/x/image/vector"
)

// drawThread draws the run: a thread with a knot for each round, filled where
// the round is done.
func drawThread(im draw.Image, run []bool) {
	bar := image.Rect(thread-3, 0, thread+3, Height)
	draw.Draw(im, bar, image.NewUniform(line), image.Point{}, draw.Src)
	if len(run) == 0 {
		knot(im, Height/2, accent, accent)
		return
	}
	step := (Height - 2*110) / max(1, len(run)-1)
	y := 110
	if len(run) == 1 {
		y = Height / 2
	}
	for i, done := range run {
		if done {
			knot(im, y+i*step, leaf, leaf)
		} else {
			knot(im, y+i*step, edge, ground)
		}
	}
}

func knot(im draw.Image, y int, rim, middle color.Color) {
	disc(im, thread, y, 22, rim)
	disc(im, thread, y, 16, middle)
}

// disc fills a circle. Four cubic curves with handles of 0.5523 radii differ
// from a circle by less than three ten-thousandths of the radius (from memory).
func disc(im draw.Image, x, y int, radius float32, c color.Color) {
	z := vector.NewRasterizer(im.Bounds().Dx(), im.Bounds().Dy())
	cx, cy, k := float32(x), float32(y), radius*.5523
	z.MoveTo(cx+radius, cy)
	z.CubeTo(cx+radius, cy+k, cx+k, cy+radius, cx, cy+radius)
	z.CubeTo(cx-k, cy+radius, cx-radius, cy+k, cx-radius, cy)
	z.CubeTo(cx-radius, cy-k, cx-k, cy-radius, cx, cy-radius)
	z.CubeTo(cx+k, cy-radius, cx+radius, cy-k, cx+radius, cy)
	z.ClosePath()
	z.Draw(im, im.Bounds(), image.NewUniform(c), image.Point{})
}

// drawPlay draws the mark of a moving picture where the thread would be.
func drawPlay(im draw.Image) {
	disc(im, thread, Height/2, 64, accent)
	z := vector.NewRasterizer(im.Bounds().Dx(), im.Bounds().Dy())
	x, y := float32(thread), float32(Height/2)
	z.MoveTo(x-18, y-30)
	z.LineTo(x+34, y)
	z.LineTo(x-18, y+30)
	z.ClosePath()
	z.Draw(im, im.Bounds(), image.NewUniform(ground), image.Point{})
}
