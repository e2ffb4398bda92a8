package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// scene has a colour of its own in each corner, so that any turn shows.
func scene(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, corner[(2*y/h)*2+2*x/w])
		}
	}
	return img
}

var corner = [4]color.RGBA{{200, 30, 30, 255}, {30, 200, 30, 255}, {30, 30, 200, 255}, {220, 220, 40, 255}}

func requireUpright(t *testing.T, img image.Image) {
	t.Helper()
	b := img.Bounds()
	for i, want := range corner {
		x := b.Min.X + b.Dx()/4 + i%2*b.Dx()/2
		y := b.Min.Y + b.Dy()/4 + i/2*b.Dy()/2
		require.InDelta(t, 0, difference(img.At(x, y), want), 60, "corner %d", i)
	}
}

func difference(a, b color.Color) float64 {
	r1, g1, b1, _ := a.RGBA()
	r2, g2, b2, _ := b.RGBA()
	d := func(x, y uint32) float64 { return max(float64(x), float64(y)) - min(float64(x), float64(y)) }
	return max(d(r1, r2), d(g1, g2), d(b1, b2)) / 257
}

func mustJPEG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}))
	return b.Bytes()
}

func mustPNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, img))
	return b.Bytes()
}

func mustGIF(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, gif.Encode(&b, img, nil))
	return b.Bytes()
}

func mustDecode(t testing.TB, b []byte) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	return img
}

// exifBlock is a TIFF with a position tag before and a GPS pointer after the
// orientation, as a phone writes it.
func exifBlock(order binary.AppendByteOrder, value uint16) []byte {
	b := []byte("MM\x00*")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		b = []byte("II*\x00")
	}
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 3)
	field := func(tag, kind uint16, n uint32, v []byte) {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, n)
		b = append(b, v...)
	}
	field(0x010f, 2, 4, []byte("Cam\x00"))
	field(0x0112, 3, 1, append(order.AppendUint16(nil, value), 0, 0))
	field(0x8825, 4, 1, order.AppendUint32(nil, 50))
	return append(b, "\x00\x00\x00\x00GPS here: 51.5 N"...)
}

func segment(marker byte, body []byte) []byte {
	return append([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
}

// withSegments puts marker segments right behind the start of a JPEG.
func withSegments(file []byte, segments ...[]byte) []byte {
	out := append([]byte(nil), file[:2]...)
	for _, s := range segments {
		out = append(out, s...)
	}
	return append(out, file[2:]...)
}

// markers lists the segments of a JPEG up to its first scan.
func markers(t *testing.T, b []byte) []byte {
	t.Helper()
	require.Equal(t, []byte{0xff, 0xd8}, b[:2])
	var out []byte
	for i := 2; ; {
		require.Equal(t, byte(0xff), b[i])
		out = append(out, b[i+1])
		if b[i+1] == 0xda {
			return out
		}
		i += 2 + int(binary.BigEndian.Uint16(b[i+2:]))
	}
}

// requireBare checks that a JPEG holds tables and pixels and nothing else.
func requireBare(t *testing.T, b []byte) {
	t.Helper()
	for _, m := range markers(t, b) {
		require.Contains(t, []byte{0xdb, 0xc0, 0xc4, 0xda}, m, "marker %x", m)
	}
	for _, s := range []string{"Exif", "<script", "<html", "ns.adobe.com", "xmpmeta", "8BIM", "GPS here", "ICC_PROFILE", "MPF\x00"} {
		require.False(t, bytes.Contains(b, []byte(s)), s)
	}
	require.True(t, bytes.HasSuffix(b, []byte{0xff, 0xd9}), "nothing after the end")
}

// corpusImages reads the shared test images, or skips where they are absent.
func corpusImages(t testing.TB) map[string][]byte {
	t.Helper()
	dir := filepath.Join("..", "..", "..", "shared", "corpus", "images")
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Skip("the shared test images are not beside the project (../shared/corpus/images)")
	}
	out := map[string][]byte{}
	for _, f := range files {
		if f.Name() == "MANIFEST.tsv" {
			continue
		}
		b, err := os.ReadFile(filepath.Join(dir, f.Name()))
		require.NoError(t, err)
		out[f.Name()] = b
	}
	require.NotEmpty(t, out)
	return out
}
