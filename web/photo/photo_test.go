package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/draw"
	"io"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

func clean(b []byte) (Photo, error) {
	return NewCleaner(1).Clean(context.Background(), bytes.NewReader(b))
}

func requireRefused(t *testing.T, err error, want Reason) {
	t.Helper()
	r, ok := errors.AsType[*Refusal](err)
	require.True(t, ok, "%v", err)
	require.Equal(t, want, r.Reason)
}

func TestTakesTheUsualFormats(t *testing.T) {
	img := scene(640, 400)
	for name, b := range map[string][]byte{
		"JPEG": mustJPEG(t, img), "PNG": mustPNG(t, img), "GIF": mustGIF(t, img),
	} {
		p, err := clean(b)
		require.NoError(t, err, name)
		require.Equal(t, []int{640, 400, 480, 300}, []int{p.Width, p.Height, p.ThumbWidth, p.ThumbHeight})
		require.Equal(t, "image/jpeg", p.MIME)
		requireUpright(t, mustDecode(t, p.Bytes))
		requireUpright(t, mustDecode(t, p.Thumb))
	}
}

func TestTurnsUprightAndDropsTheRest(t *testing.T) {
	want := scene(90, 60)
	for o := 1; o <= 8; o++ {
		// The stored picture is the one that the orientation makes upright.
		back := map[int]int{6: 8, 8: 6}[o]
		if back == 0 {
			back = o
		}
		file := mustJPEG(t, upright(want, back))
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			exif := append(bytes.Clone(exifPrefix), exifBlock(order, uint16(o))...)
			xmp := []byte("http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta/>")
			p, err := clean(withSegments(file, segment(0xe1, exif), segment(0xe1, xmp), segment(0xfe, []byte("<script>alert(1)</script>"))))
			require.NoError(t, err)
			require.Equal(t, image.Pt(90, 60), image.Pt(p.Width, p.Height), "orientation %d", o)
			requireUpright(t, mustDecode(t, p.Bytes))
			requireBare(t, p.Bytes)
			requireBare(t, p.Thumb)
		}
	}
}

// The meaning of the values is EXIF 2.32 tag 0x0112: where row 0 and column 0
// of the stored picture lie.
func TestOrientationFollowsTheTable(t *testing.T) {
	src := scene(4, 2)                   // red, green above blue, yellow
	for o, want := range map[int][4]int{ // corner colours in reading order
		1: {0, 1, 2, 3}, 2: {1, 0, 3, 2}, 3: {3, 2, 1, 0}, 4: {2, 3, 0, 1},
		5: {0, 2, 1, 3}, 6: {2, 0, 3, 1}, 7: {3, 1, 2, 0}, 8: {1, 3, 0, 2},
	} {
		got := upright(src, o)
		w, h := got.Rect.Dx()-1, got.Rect.Dy()-1
		for i, at := range []image.Point{{0, 0}, {w, 0}, {0, h}, {w, h}} {
			require.Equal(t, corner[want[i]], got.RGBAAt(at.X, at.Y), "orientation %d corner %d", o, i)
		}
	}
}

func TestTransparentIsOnWhite(t *testing.T) {
	p, err := clean(mustPNG(t, image.NewNRGBA(image.Rect(0, 0, 700, 20))))
	require.NoError(t, err)
	for _, b := range [][]byte{p.Bytes, p.Thumb} {
		require.InDelta(t, 0, difference(mustDecode(t, b).At(5, 5), image.White), 3)
	}
}

func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		data []byte
		want Reason
		say  string
	}{
		"empty":     {nil, Empty, "empty"},
		"text":      {[]byte("Two eggs, beaten"), NotAPicture, "does not look like a photo"},
		"heic":      {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), OtherFormat, "a HEIC photo from a phone. Please save it as JPEG"},
		"avif":      {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), OtherFormat, "an AVIF picture"},
		"svg":       {[]byte(`<?xml version="1.0"?><SVG xmlns="http://www.w3.org/2000/svg" onload="x()">`), OtherFormat, "an SVG picture"},
		"tiff":      {[]byte("II*\x00\x08\x00\x00\x00"), OtherFormat, "a TIFF picture"},
		"pdf":       {[]byte("%PDF-1.7"), OtherFormat, "a PDF document"},
		"cut off":   {mustPNG(t, scene(100, 100))[:120], Broken, "damaged or cut off"},
		"big file":  {append(mustPNG(t, scene(9, 9)), make([]byte, MaxBytes)...), TooManyBytes, "12 MB"},
		"big sides": {hugePNG(60_000, 60_000), TooManyPixels, "too many pixels"},
		"51 MP":     {hugePNG(51_000, 1_000), TooManyPixels, "too many pixels"},
	} {
		_, err := clean(c.data)
		requireRefused(t, err, c.want)
		require.ErrorContains(t, err, c.say, name)
	}
}

// hugePNG has a true header over hardly any data.
func hugePNG(w, h uint32) []byte {
	b := binary.BigEndian.AppendUint32([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"), w)
	b = binary.BigEndian.AppendUint32(b, h)
	b = append(b, 8, 2, 0, 0, 0)
	b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[12:]))
	return append(b, "\x00\x00\x00\x00IDAT"...)
}

// A picture of few pixels whose data keep the decoder busy for minutes: a
// progressive JPEG that repeats one scan for ever.
func TestCutsOffASlowDecode(t *testing.T) {
	c := NewCleaner(1)
	c.limits.time = 300 * time.Millisecond
	start := time.Now()
	_, err := c.Clean(context.Background(), bytes.NewReader(scanBomb(4000, 4000, 60_000)))
	requireRefused(t, err, TooSlow)
	require.Less(t, time.Since(start), 5*time.Second)
}

// scanBomb builds a grey progressive JPEG (ITU-T T.81 annex G) with n scans
// that each say "end of band" for every block: a few dozen bytes for w*h/64
// blocks of work.
func scanBomb(w, h, n int) []byte {
	b := []byte{0xff, 0xd8}
	b = append(b, segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...))...)
	b = append(b, segment(0xc2, []byte{8, byte(h >> 8), byte(h), byte(w >> 8), byte(w), 1, 1, 0x11, 0})...)
	table := append([]byte{0x10, 1}, make([]byte, 15)...) // one AC code: 0 means EOB14
	b = append(b, segment(0xc4, append(table, 0xe0))...)
	scan := segment(0xda, []byte{1, 1, 0, 1, 1, 0})
	runs := (w/8*h/8 + 1<<14 - 1) >> 14 // each symbol is 15 bits and ends 1<<14 blocks
	scan = append(scan, make([]byte, (runs*15+7)/8)...)
	for range n {
		b = append(b, scan...)
	}
	return append(b, 0xff, 0xd9)
}

func TestMemoryIsReckonedFromTheHeader(t *testing.T) {
	for name, c := range map[string]struct {
		data []byte
		want int64 // bytes a pixel
	}{
		"grey baseline":         {mustJPEG(t, image.NewGray(image.Rect(0, 0, 8, 8))), 1},
		"colour at half detail": {mustJPEG(t, scene(8, 8)), 2}, // 1.5, rounded up
		"grey progressive":      {scanBomb(8, 8, 1), 5},
		"truecolour":            {mustPNG(t, scene(8, 8)), 4},
		"16 bit":                {mustPNG(t, image.NewNRGBA64(image.Rect(0, 0, 8, 8))), 8},
		"palette":               {mustGIF(t, scene(8, 8)), 1},
	} {
		h, err := inspect(c.data)
		require.NoError(t, err, name)
		require.Equal(t, c.want*64, h.memory, name)
	}
	c := NewCleaner(1)
	c.limits.memory = 100
	_, err := c.Clean(context.Background(), bytes.NewReader(mustPNG(t, scene(8, 8))))
	requireRefused(t, err, TooManyPixels)
}

func TestAPanicIsABrokenPicture(t *testing.T) {
	p, err := guarded(func() (Photo, error) { panic("a decoder ran over its buffer") })
	require.Zero(t, p)
	requireRefused(t, err, Broken)
}

func TestWaitsForASlotAndGivesUpWithTheContext(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := NewCleaner(1)
		read, write := io.Pipe()
		done := make(chan error)
		go func() {
			_, err := c.Clean(t.Context(), read)
			done <- err
		}()
		synctest.Wait()
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		defer cancel()
		_, err := c.Clean(ctx, bytes.NewReader(nil))
		require.ErrorIs(t, err, context.DeadlineExceeded)
		require.NoError(t, write.CloseWithError(io.ErrUnexpectedEOF))
		require.ErrorIs(t, <-done, io.ErrUnexpectedEOF)
		_, err = c.Clean(t.Context(), bytes.NewReader(nil))
		requireRefused(t, err, Empty)
	})
}

func TestShrinkAveragesAreas(t *testing.T) {
	src := image.NewGray(image.Rect(3, 5, 3+960, 5+1)) // bounds need not start at 0
	for i := range src.Pix {
		src.Pix[i] = byte(i % 2 * 200)
	}
	dst, err := shrink(context.Background(), src, 480)
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, 480, 1), dst.Rect)
	for x := range 480 {
		require.Equal(t, byte(100), dst.Pix[4*x], "column %d", x)
	}
	plain := image.NewRGBA(image.Rect(0, 0, 701, 333))
	draw.Draw(plain, plain.Rect, image.NewUniform(corner[0]), image.Point{}, draw.Src)
	odd, err := shrink(context.Background(), plain, 480)
	require.NoError(t, err)
	for y := range odd.Rect.Dy() {
		for x := range odd.Rect.Dx() {
			require.InDelta(t, 0, difference(odd.RGBAAt(x, y), corner[0]), 1)
		}
	}
}
