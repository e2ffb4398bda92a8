package web

import (
	"bytes"
	"context"
	"errors"
	"slices"

	"fairladle/store"
	"fairladle/web/photo"
)

// importPiece is how many imported entries are made before other work has its
// turn.
const importPiece = 10

// MakeImported makes entries of what hosts chose in imports, one at a time, at
// most n, and returns how many it did. Each is one unit: after a crash it is
// made or still waits.
func (s *Server) MakeImported(ctx context.Context, n int) (made int, err error) {
	for made < n && ctx.Err() == nil {
		w, ok, err := s.db.NextImport(ctx)
		if err != nil || !ok {
			return made, err
		}
		var sums []string
		for _, raw := range w.Photos {
			sum, err := s.importedPhoto(ctx, raw)
			if err != nil {
				return made, err
			}
			if sum != "" && !slices.Contains(sums, sum) {
				sums = append(sums, sum)
			}
		}
		if err := s.db.MakeImported(ctx, w, sums...); err != nil {
			return made, err
		}
		made++
	}
	return made, ctx.Err()
}

// importedPhoto makes a picture harmless and keeps it. One that cannot be read
// is left out: the recipe counts without it.
func (s *Server) importedPhoto(ctx context.Context, raw []byte) (string, error) {
	if len(raw) == 0 {
		return "", nil
	}
	clean, err := s.photos.Clean(ctx, bytes.NewReader(raw))
	if _, refused := errors.AsType[*photo.Refusal](err); refused {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	return s.db.AddPhoto(ctx, store.Photo{Width: clean.Width, Height: clean.Height, MIME: clean.MIME, Large: clean.Bytes, Thumb: clean.Thumb})
}
