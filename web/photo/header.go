package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/webp"
)

// header is what is known about a picture before its pixels are decoded.
type header struct {
	format        string
	data          []byte // what the decoder is given
	width, height int64  // as stored, before it is turned upright
	memory        int64  // bytes the decoder is expected to allocate, at most
	orientation   int    // EXIF 2.32 tag 0x0112: 1 to 8
	decode        func(io.Reader) (image.Image, error)
}

// inspect reads sizes and orientation without decoding.
func inspect(data []byte) (header, error) {
	if len(data) == 0 {
		return header{}, refuse(Empty, "")
	}
	format, taken := sniff(data)
	switch {
	case format == "":
		return header{}, refuse(NotAPicture, "")
	case !taken:
		return header{}, refuse(OtherFormat, format)
	}
	h := header{format: format, data: data, orientation: 1}
	bytesPerPixel := int64(0)
	var config func(io.Reader) (image.Config, error)
	switch format {
	case "JPEG":
		j := scanJPEG(data)
		h.orientation, bytesPerPixel = orientation(j.exif), j.bytesPerPixel()
		h.decode, config = jpeg.Decode, jpeg.DecodeConfig
	case "PNG":
		exif, interlaced := scanPNG(data)
		h.orientation = orientation(exif)
		if interlaced {
			bytesPerPixel = 8 // each pass is an image of its own
		}
		h.decode, config = png.Decode, png.DecodeConfig
	case "GIF":
		h.decode, config = gif.Decode, gif.DecodeConfig
	case "WebP":
		frame, exif := firstFrame(data)
		h.data, h.orientation, bytesPerPixel = frame, orientation(exif), 8
		h.decode, config = webp.Decode, webp.DecodeConfig
	}
	c, err := config(bytes.NewReader(h.data))
	if err != nil || c.Width <= 0 || c.Height <= 0 || c.Width > 1<<24 || c.Height > 1<<24 {
		return header{}, brokenOrHuge(c, format)
	}
	h.width, h.height = int64(c.Width), int64(c.Height)
	h.memory = h.width * h.height * (bytesPerPixel + modelBytes(c.ColorModel, format))
	return h, nil
}

func brokenOrHuge(c image.Config, format string) error {
	if c.Width > 1<<24 || c.Height > 1<<24 {
		return refuse(TooManyPixels, format)
	}
	return refuse(Broken, format)
}

// modelBytes is the size of one decoded pixel. JPEG and WebP count for
// themselves, as their decoders keep more than the result.
func modelBytes(m color.Model, format string) int64 {
	if format == "JPEG" || format == "WebP" {
		return 0
	}
	if _, ok := m.(color.Palette); ok {
		return 1
	}
	switch m {
	case color.GrayModel, color.AlphaModel:
		return 1
	case color.Gray16Model, color.Alpha16Model:
		return 2
	case color.RGBA64Model, color.NRGBA64Model:
		return 8
	default:
		return 4
	}
}
