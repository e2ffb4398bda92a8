package photo

import "image"

// upright undoes an EXIF orientation (EXIF 2.32, tag 0x0112): the value says
// where the stored row 0 and column 0 lie in the scene. 5 to 8 swap the sides.
func upright(src *image.RGBA, orientation int) *image.RGBA {
	if orientation <= 1 || orientation > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	outW, outH := w, h
	if orientation >= 5 {
		outW, outH = h, w
	}
	dst := image.NewRGBA(image.Rect(0, 0, outW, outH))
	for y := range outH {
		for x := range outW {
			sx, sy := stored(orientation, x, y, w, h)
			copy(dst.Pix[y*dst.Stride+4*x:][:4], src.Pix[sy*src.Stride+4*sx:][:4])
		}
	}
	return dst
}

// stored says which stored pixel shows at x, y of the scene; w and h are the
// stored sides.
func stored(orientation, x, y, w, h int) (int, int) {
	switch orientation {
	case 2: // row 0 top, column 0 right
		return w - 1 - x, y
	case 3: // bottom, right
		return w - 1 - x, h - 1 - y
	case 4: // bottom, left
		return x, h - 1 - y
	case 5: // left, top
		return y, x
	case 6: // right, top
		return y, h - 1 - x
	case 7: // right, bottom
		return w - 1 - y, h - 1 - x
	case 8: // left, bottom
		return w - 1 - y, x
	default:
		return x, y
	}
}
