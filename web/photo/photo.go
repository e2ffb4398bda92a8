package photo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"time"
)

// What Clean accepts and makes.
const (
	MaxBytes  = 12 << 20   // of the file as sent
	MaxPixels = 50_000_000 // width times height, as the header states it
	LargeSide = 1600       // longest side of Photo.Bytes, in pixels
	ThumbSide = 480        // longest side of Photo.Thumb, in pixels

	maxMemory = 256 << 20 // bytes one decode may need, estimated from the header
	maxTime   = 10 * time.Second
	quality   = 82
)

// Photo is a picture that was decoded and encoded anew. Bytes and Thumb are
// JPEG files without metadata, upright, on white where the original was
// transparent. Pictures are never enlarged.
type Photo struct {
	Width, Height           int    // of Bytes, in pixels
	MIME                    string // of Bytes and Thumb, always "image/jpeg"
	Bytes                   []byte // longest side at most LargeSide
	ThumbWidth, ThumbHeight int    // of Thumb, in pixels
	Thumb                   []byte // longest side at most ThumbSide
}

// Cleaner cleans a bounded number of photos at a time.
type Cleaner struct {
	slots  chan struct{}
	limits limits
}

type limits struct {
	bytes, pixels, memory int64
	time                  time.Duration
}

// NewCleaner returns a Cleaner that decodes at most n photos at once (at least
// one). Each may need some 300 MB for a moment, if the photo is hostile.
func NewCleaner(n int) *Cleaner {
	return &Cleaner{
		slots:  make(chan struct{}, max(n, 1)),
		limits: limits{bytes: MaxBytes, pixels: MaxPixels, memory: maxMemory, time: maxTime},
	}
}

// Clean reads a picture from r and returns it harmless. It waits for a free
// slot before it reads, so r should be a file already received, not a slow
// connection. A picture it will not take yields a *Refusal; if ctx ends first,
// the error wraps ctx.Err(); any other error came from r.
func (c *Cleaner) Clean(ctx context.Context, r io.Reader) (Photo, error) {
	select {
	case c.slots <- struct{}{}:
		defer func() { <-c.slots }()
	case <-ctx.Done():
		return Photo{}, fmt.Errorf("photo: waiting: %w", ctx.Err())
	}
	data, err := io.ReadAll(io.LimitReader(r, c.limits.bytes+1))
	if err != nil {
		return Photo{}, fmt.Errorf("photo: read: %w", err)
	}
	if int64(len(data)) > c.limits.bytes {
		return Photo{}, refuse(TooManyBytes, "")
	}
	timed, cancel := context.WithTimeout(ctx, c.limits.time)
	defer cancel()
	p, err := guarded(func() (Photo, error) { return c.remake(timed, data) })
	if err != nil && ctx.Err() != nil {
		return Photo{}, fmt.Errorf("photo: stopped: %w", ctx.Err())
	}
	if err != nil && timed.Err() != nil {
		return Photo{}, refuse(TooSlow, "")
	}
	return p, err
}

// guarded turns a panic in a decoder into a broken picture, so that it does not
// become a broken server.
func guarded(work func() (Photo, error)) (p Photo, err error) {
	defer func() {
		if v := recover(); v != nil {
			p, err = Photo{}, refuse(Broken, "")
		}
	}()
	return work()
}

func (c *Cleaner) remake(ctx context.Context, data []byte) (Photo, error) {
	h, err := inspect(data)
	if err != nil {
		return Photo{}, err
	}
	if h.width*h.height > c.limits.pixels || h.memory > c.limits.memory {
		return Photo{}, refuse(TooManyPixels, h.format)
	}
	img, err := decode(ctx, h)
	if err != nil {
		return Photo{}, err
	}
	small, err := shrink(ctx, img, LargeSide)
	if err != nil {
		return Photo{}, err
	}
	large := upright(small, h.orientation)
	thumb, err := shrink(ctx, large, ThumbSide)
	if err != nil {
		return Photo{}, err
	}
	return encode(large, thumb)
}

// decode runs the decoder named by the header and checks that it kept to it.
func decode(ctx context.Context, h header) (image.Image, error) {
	img, err := h.decode(&stopReader{ctx, bytes.NewReader(h.data)})
	if err != nil {
		return nil, refuse(Broken, h.format)
	}
	if b := img.Bounds(); b.Empty() || int64(b.Dx())*int64(b.Dy()) > h.width*h.height {
		return nil, refuse(Broken, h.format)
	}
	return img, nil
}

// stopReader ends a decode at the deadline: decoders cannot be cancelled, but
// they stop when their input fails.
type stopReader struct {
	ctx context.Context
	r   *bytes.Reader
}

func (s *stopReader) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	// Small reads, so that a stream that is cheap to send and dear to decode is
	// looked at often.
	return s.r.Read(p[:min(len(p), 4096)])
}

func encode(large, thumb *image.RGBA) (Photo, error) {
	var b, t bytes.Buffer
	err := errors.Join(
		jpeg.Encode(&b, large, &jpeg.Options{Quality: quality}),
		jpeg.Encode(&t, thumb, &jpeg.Options{Quality: quality}),
	)
	if err != nil {
		return Photo{}, fmt.Errorf("photo: encode: %w", err)
	}
	return Photo{
		Width: large.Rect.Dx(), Height: large.Rect.Dy(), MIME: "image/jpeg", Bytes: b.Bytes(),
		ThumbWidth: thumb.Rect.Dx(), ThumbHeight: thumb.Rect.Dy(), Thumb: t.Bytes(),
	}, nil
}
