package photo

import (
	"context"
	"image"
	"image/draw"
	"math"
)

// shrink returns src on white with its longest side at most side pixels: each
// new pixel is the average of the area it covers, in sRGB values. It holds a
// few rows of the source at a time, where a general resampler would need
// hundreds of megabytes beside the decoded picture.
func shrink(ctx context.Context, src image.Image, side int) (*image.RGBA, error) {
	b := src.Bounds()
	w, h := fit(b.Dx(), b.Dy(), side)
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if w == b.Dx() && h == b.Dy() {
		draw.Draw(dst, dst.Rect, image.White, image.Point{}, draw.Src)
		draw.Draw(dst, dst.Rect, src, b.Min, draw.Over)
		return dst, ctx.Err()
	}
	rows := newRowAverager(src, w)
	step := float64(b.Dy()) / float64(h)
	sum := make([]float32, 3*w)
	for y := range h {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		clear(sum)
		top, bottom := float64(y)*step, min(float64(y+1)*step, float64(b.Dy()))
		for sy := int(top); float64(sy) < bottom; sy++ {
			weight := float32(min(float64(sy+1), bottom) - max(float64(sy), top))
			for i, v := range rows.at(sy) {
				sum[i] += weight * v
			}
		}
		store(dst.Pix[y*dst.Stride:], sum, float32(1/(bottom-top)))
	}
	return dst, nil
}

// fit scales w and h to a longest side, each at least one pixel, never larger
// than they were.
func fit(w, h, side int) (int, int) {
	longest := max(w, h)
	if longest <= side {
		return w, h
	}
	scale := float64(side) / float64(longest)
	return max(1, int(math.Round(float64(w)*scale))), max(1, int(math.Round(float64(h)*scale)))
}

func store(pix []byte, sum []float32, scale float32) {
	for i := 0; i < len(sum); i += 3 {
		o := i / 3 * 4
		pix[o] = byte(sum[i]*scale + 0.5)
		pix[o+1] = byte(sum[i+1]*scale + 0.5)
		pix[o+2] = byte(sum[i+2]*scale + 0.5)
		pix[o+3] = 0xff
	}
}

const stripRows = 16

// rowAverager averages single rows of a picture to a smaller width. Rows are
// asked for from top to bottom; the last one is kept, as two new rows may
// share it.
type rowAverager struct {
	src   image.Image
	strip *image.RGBA
	first int // source row at the top of the strip, -1 before the first
	last  int // source row in out
	out   []float32
	spans []span
}

// span is the part of a source row that one new pixel covers: pixels from to
// to, the outer two only in part.
type span struct {
	from, to    int // inclusive
	left, right float32
	scale       float32
}

func newRowAverager(src image.Image, w int) *rowAverager {
	width := src.Bounds().Dx()
	r := &rowAverager{
		src: src, first: -1, last: -1, out: make([]float32, 3*w), spans: make([]span, w),
		strip: image.NewRGBA(image.Rect(0, 0, width, stripRows)),
	}
	step := float64(width) / float64(w)
	for x := range r.spans {
		a, b := float64(x)*step, min(float64(x+1)*step, float64(width))
		from, to := int(a), int(math.Ceil(b))-1
		r.spans[x] = span{from, to, float32(float64(from+1) - a), float32(b - float64(to)), float32(1 / (b - a))}
	}
	return r
}

func (r *rowAverager) at(y int) []float32 {
	if y == r.last {
		return r.out
	}
	if first := y / stripRows * stripRows; first != r.first {
		origin := r.src.Bounds().Min.Add(image.Pt(0, first))
		draw.Draw(r.strip, r.strip.Rect, image.White, image.Point{}, draw.Src)
		draw.Draw(r.strip, r.strip.Rect, r.src, origin, draw.Over)
		r.first = first
	}
	row := r.strip.Pix[(y-r.first)*r.strip.Stride:]
	for x, s := range r.spans {
		s.average(row, r.out[3*x:3*x+3])
	}
	r.last = y
	return r.out
}

func (s span) average(row []byte, out []float32) {
	var sum [3]float32
	add := func(x int, weight float32) {
		sum[0] += weight * float32(row[4*x])
		sum[1] += weight * float32(row[4*x+1])
		sum[2] += weight * float32(row[4*x+2])
	}
	if s.from == s.to {
		add(s.from, 1/s.scale)
	} else {
		add(s.from, s.left)
		add(s.to, s.right)
		var r, g, b uint32
		for p := row[4*(s.from+1) : 4*s.to]; len(p) >= 4; p = p[4:] {
			r, g, b = r+uint32(p[0]), g+uint32(p[1]), b+uint32(p[2])
		}
		sum[0], sum[1], sum[2] = sum[0]+float32(r), sum[1]+float32(g), sum[2]+float32(b)
	}
	out[0], out[1], out[2] = sum[0]*s.scale, sum[1]*s.scale, sum[2]*s.scale
}
