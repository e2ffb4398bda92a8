package photo

import (
	"bytes"
	"context"
	"errors"
	"image"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// refusedHere are the files that must be refused, with the reason; every other
// file of the collection must come out as a photo.
func refusedHere(t *testing.T) map[string]Reason {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", "refused.tsv"))
	require.NoError(t, err)
	out := map[string]Reason{}
	for line := range strings.Lines(string(b)) {
		if name, reason, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok && name != "file" {
			out[name] = Reason(reason)
		}
	}
	return out
}

func TestEveryImageOfTheCollection(t *testing.T) {
	files, refused := corpusImages(t), refusedHere(t)
	cleaner := NewCleaner(2)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		start, before := time.Now(), allocated()
		p, err := cleaner.Clean(context.Background(), bytes.NewReader(files[name]))
		require.Less(t, time.Since(start), 5*time.Second, name)
		require.Less(t, allocated()-before, uint64(200<<20), name)
		if want, ok := refused[name]; ok {
			r, is := errors.AsType[*Refusal](err)
			require.True(t, is, "%s: %v", name, err)
			require.Equal(t, want, r.Reason, name)
			require.NotContains(t, r.Error(), "  ")
			continue
		}
		require.NoError(t, err, name)
		requireBare(t, p.Bytes)
		requireBare(t, p.Thumb)
		require.Equal(t, image.Pt(p.Width, p.Height), mustDecode(t, p.Bytes).Bounds().Size(), name)
		require.Equal(t, image.Pt(p.ThumbWidth, p.ThumbHeight), mustDecode(t, p.Thumb).Bounds().Size(), name)
		require.LessOrEqual(t, max(p.Width, p.Height), LargeSide, name)
		require.LessOrEqual(t, max(p.ThumbWidth, p.ThumbHeight), ThumbSide, name)
	}
	for name := range refused {
		require.Contains(t, files, name, "a name in refused.tsv is not in the collection")
	}
}

// The landscape photos are one scene stored in different orientations, so all
// must come out landscape and alike.
func TestLandscapesComeOutAlike(t *testing.T) {
	files := corpusImages(t)
	var first image.Image
	for _, n := range []string{"1", "4", "5", "7", "8"} {
		p, err := NewCleaner(1).Clean(context.Background(), bytes.NewReader(files["exif-orientation__Landscape_"+n+".jpg"]))
		require.NoError(t, err)
		require.Equal(t, image.Pt(1600, 1067), image.Pt(p.Width, p.Height), "No. %s", n)
		got := mustDecode(t, p.Thumb)
		if first == nil {
			first = got
		}
		require.Less(t, distance(first, got, false), 8.0, "No. %s", n)
		require.Greater(t, distance(first, got, true), 20.0, "No. %s: a mirrored picture must not pass", n)
	}
}

// distance is the mean difference of two pictures of one size, 0 to 255; the
// second may be mirrored first.
func distance(a, b image.Image, mirror bool) float64 {
	size, sum := a.Bounds().Size(), 0.0
	for y := range size.Y {
		for x := range size.X {
			bx := x
			if mirror {
				bx = size.X - 1 - x
			}
			sum += difference(a.At(x, y), b.At(bx, y))
		}
	}
	return sum / float64(size.X*size.Y)
}

func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}
