package demo

import "math"

// table is boards or cloth, lit from the upper left.
func (c *canvas) table() {
	wood := c.one(0x8a5a3c, 0x6f5243, 0xa98467, 0x52616b, 0x40514e, 0x7a3b3f)
	grain, boards := 0.02+0.05*c.rnd.Float64(), 90+c.rnd.Float64()*70
	phase := c.rnd.Float64() * 50
	bend := make([]float64, c.img.Rect.Dx())
	for x := range bend {
		bend[x] = 4 * math.Sin(float64(x)*0.004+phase)
	}
	for y := range c.img.Rect.Dy() {
		for x := range c.img.Rect.Dx() {
			fx, fy := float64(x), float64(y)
			light := 1.15 - 0.45*(fx/900*0.5+fy/675*0.5)
			wave := grain * math.Sin(fy*0.21+bend[x]+phase)
			seam := 0.0
			if math.Mod(fy+phase, boards) < 2.5 {
				seam = 0.25
			}
			c.blend(x, y, wood.lit(light*(1+wave-seam)), 1)
		}
	}
}

func (c *canvas) plate(r float64) {
	body := c.one(0xf3efe6, 0xe8e4da, 0xdfe7ea, 0xf0e2d0, 0xc9d6d3)
	band := c.one(0x35566b, 0x9a3b2f, 0x6d7f4f, 0xb98a3a, 0x44403c)
	c.shadow(c.mid.x, c.mid.y, 0, r, ellipse(r, r*0.86))
	c.fill(c.mid.x, c.mid.y, 0, r, 1.5, ellipse(r, r*0.86), func(x, y float64) (colour, float64) {
		d := math.Hypot(x/r, y/(r*0.86))
		k := body.lit(1.02 - 0.12*(x+y)/r)
		switch {
		case d > 0.93 && d < 0.965:
			k = mix(k, band, 0.85)
		case d > 0.70 && d < 0.76: // the well
			k = k.lit(1 - 0.10*math.Sin((d-0.70)/0.06*math.Pi)*(1-(x+y)/r))
		}
		return k, 1
	})
}

// baked is the colour of crust: pale in the middle of a hump, dark at the edge.
func baked(base colour, in outline, depth float64) shade {
	dark := base.lit(0.55)
	return func(x, y float64) (colour, float64) {
		d := -in(x, y) / depth
		k := mix(dark, base, d*1.6)
		blister := 0.06 * math.Sin(x*0.19+2*math.Sin(y*0.13)) * math.Sin(y*0.23)
		return k.lit(1.05 + blister - 0.0035*(x*0.3+y)), 1
	}
}

func (c *canvas) crust() colour { return c.one(0xd9973f, 0xc98339, 0xe0ab5a, 0xb8722f) }

func (c *canvas) pasty(x, y, turn float64) {
	in, base := halfMoon(112, 84), c.piece()
	c.shadow(x, y, turn, 112, in)
	c.fill(x, y, turn, 114, 1.5, in, baked(base, in, 46))
	for a := 0.08; a < 1; a += 0.084 { // the crimp
		s, k := math.Sincos(math.Pi * (1 + a))
		px, py := 104*k, 77*s
		sin, cos := math.Sincos(turn)
		c.fill(x+px*cos-py*sin, y+px*sin+py*cos, turn+math.Pi*a, 14, 3, ellipse(13, 8), flat(base.lit(0.82), 0.8))
	}
	for i := -1.0; i <= 1; i++ {
		c.fill(x+i*20*math.Cos(turn), y+i*20*math.Sin(turn), turn+1.2, 18, 3, capsule(11, 2), flat(base.lit(0.4), 0.8))
	}
}

func (c *canvas) triangle(x, y, turn float64) {
	in, base := wedge(92), c.piece()
	c.shadow(x, y, turn, 92, in)
	c.fill(x, y, turn, 96, 1.5, in, baked(base, in, 34))
	c.fill(x, y, turn, 92, 2, capsule(40, 1.2), flat(base.lit(0.6), 0.6))
	c.sprinkle(x, y, 40, 14, rgb(0xf4e7c5))
}

func (c *canvas) roll(x, y, turn float64) {
	in, base := capsule(78, 34), c.piece()
	c.shadow(x, y, turn, 116, in)
	c.fill(x, y, turn, 116, 1.5, in, baked(base, in, 22))
	for i := -2.0; i <= 2; i++ {
		px := i * 34
		c.fill(x+px*math.Cos(turn), y+px*math.Sin(turn), turn+1.15, 34, 3, capsule(24, 1.3), flat(base.lit(0.62), 0.55))
	}
}

func (c *canvas) dumpling(x, y, turn float64) {
	in, base := ellipse(58, 50), c.piece()
	c.shadow(x, y, turn, 58, in)
	c.fill(x, y, turn, 60, 1.5, in, baked(base, in, 26))
	for i := range 9 {
		a := turn + float64(i)*2*math.Pi/9
		c.fill(x+20*math.Cos(a), y+20*math.Sin(a), a+0.4, 22, 3, capsule(15, 1.4), flat(base.lit(0.72), 0.7))
	}
	c.fill(x-14, y-18, 0, 18, 12, ellipse(12, 8), flat(rgb(0xffffff), 0.5))
}

func (c *canvas) parcel(x, y, turn float64) {
	in, leaf := ellipse(76, 50), c.piece()
	c.shadow(x, y, turn, 76, in)
	c.fill(x, y, turn, 78, 1.5, in, baked(leaf, in, 30))
	for i := -2.0; i <= 2; i++ {
		c.fill(x, y, turn+0.35*i, 70, 3, capsule(56, 1.1), flat(mix(leaf, rgb(0xe6ecc4), 0.55), 0.5))
	}
}

func (c *canvas) sprinkle(x, y, reach float64, n int, k colour) {
	for range n {
		r, a := reach*math.Sqrt(c.rnd.Float64()), c.rnd.Float64()*2*math.Pi
		c.fill(x+r*math.Cos(a), y+r*math.Sin(a), a*3, 6, 1.5, ellipse(4.5, 2.6), flat(k, 0.95))
	}
}
