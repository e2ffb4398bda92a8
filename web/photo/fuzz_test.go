package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// FuzzClean: whatever is sent ends as a bare JPEG or as a refusal with a
// message. Long runs: go test -fuzz FuzzClean ./web/photo
func FuzzClean(f *testing.F) {
	img := scene(24, 16)
	exif := append(bytes.Clone(exifPrefix), exifBlock(binary.LittleEndian, 6)...)
	f.Add(withSegments(mustJPEG(f, img), segment(0xe1, exif)))
	f.Add(mustPNG(f, img))
	f.Add(mustGIF(f, img))
	f.Add(scanBomb(16, 16, 2))
	f.Add(append([]byte("RIFF\x40\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x12\x00\x00\x00\x01\x00\x00\x01\x00\x00"), "ANMF\x18\x00\x00\x00"...))
	f.Fuzz(func(t *testing.T, data []byte) {
		c := NewCleaner(1)
		c.limits.pixels = 1 << 16
		p, err := c.Clean(context.Background(), bytes.NewReader(data))
		if err != nil {
			r, ok := errors.AsType[*Refusal](err)
			require.True(t, ok, "%v", err)
			require.NotEmpty(t, r.Error())
			return
		}
		requireBare(t, p.Bytes)
		requireBare(t, p.Thumb)
	})
}

// An EXIF block that is cut or changed anywhere must give an orientation all
// the same.
func TestOrientationOfDamagedBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := exifBlock(binary.BigEndian, uint16(rapid.IntRange(0, 9).Draw(t, "value")))
		at := rapid.IntRange(0, len(b)-1).Draw(t, "at")
		b[at] = rapid.Byte().Draw(t, "byte")
		b = b[:rapid.IntRange(0, len(b)).Draw(t, "length")]
		require.Contains(t, []int{1, 2, 3, 4, 5, 6, 7, 8}, orientation(b))
	})
}
