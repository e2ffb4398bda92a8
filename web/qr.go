package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/yeqown/go-qrcode/v2"

	"fairladle/challenge"
)

// qr is the public address of a challenge as a QR code.
func (s *Server) qr(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	svg, err := qrSVG(site(r).PublicURL + "/c/" + d.challenge.Slug)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Cache-Control", "no-store")
	_, err = w.Write([]byte(svg))
	return err
}

// svgWriter draws a QR code's modules as one path, with the quiet zone of four
// modules that ISO/IEC 18004 asks for (from memory).
type svgWriter struct{ b strings.Builder }

func (s *svgWriter) Write(m qrcode.Matrix) error {
	const quiet = 4
	fmt.Fprintf(&s.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="100%%" height="100%%" fill="#fff"/><path fill="#000" d="`,
		m.Width()+2*quiet, m.Height()+2*quiet)
	m.Iterate(qrcode.IterDirection_ROW, func(x, y int, v qrcode.QRValue) {
		if v.IsSet() {
			fmt.Fprintf(&s.b, "M%d %dh1v1h-1z", x+quiet, y+quiet)
		}
	})
	s.b.WriteString(`"/></svg>`)
	return nil
}

func (s *svgWriter) Close() error { return nil }

func qrSVG(address string) (string, error) {
	code, err := qrcode.New(address)
	if err != nil {
		return "", fmt.Errorf("qr code: %w", err)
	}
	var w svgWriter
	if err := code.Save(&w); err != nil {
		return "", fmt.Errorf("qr code: %w", err)
	}
	return w.b.String(), nil
}
