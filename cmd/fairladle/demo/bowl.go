package demo

import "math"

// bowl is a deep dish of something that simmered.
func (c *canvas) bowl() {
	glaze := c.one(0x2f4858, 0xe9e2d3, 0x7a4f3a, 0x56704f, 0xd8b46a)
	broth := c.one(0xb4552d, 0xc9962f, 0x8a4a2c, 0xd9c79a, 0x7d8a3f, 0xa33a2a)
	in := ellipse(280, 250)
	c.shadow(c.mid.x, c.mid.y, 0, 280, in)
	c.fill(c.mid.x, c.mid.y, 0, 282, 1.5, in, func(x, y float64) (colour, float64) {
		return glaze.lit(1.1 - 0.0012*(x+y)), 1
	})
	c.fill(c.mid.x, c.mid.y, 0, 254, 3, ellipse(250, 221), flat(glaze.lit(0.55), 1))
	soup := ellipse(236, 206)
	c.fill(c.mid.x, c.mid.y+6, 0, 240, 3, soup, func(x, y float64) (colour, float64) {
		swirl := 0.07 * math.Sin(0.03*math.Hypot(x, y)+2*math.Atan2(y, x))
		return broth.lit(1.05 + swirl - 0.0008*(x+y)), 1
	})
	c.chunks(broth)
	c.sprinkle(c.mid.x, c.mid.y, 180, 40, c.one(0x4f7a35, 0x3f6a2d, 0x6b8f3c))
	c.fill(c.mid.x-90, c.mid.y-110, -0.5, 80, 30, ellipse(70, 14), flat(rgb(0xffffff), 0.35))
}

// chunks are the pieces that stand out of the broth.
func (c *canvas) chunks(broth colour) {
	for range 16 {
		r, a := 185*math.Sqrt(c.rnd.Float64()), c.rnd.Float64()*2*math.Pi
		x, y := c.mid.x+r*math.Cos(a), c.mid.y+6+0.88*r*math.Sin(a)
		w, h := 18+c.rnd.Float64()*20, 14+c.rnd.Float64()*12
		k := mix(c.one(0xe07f2e, 0xf1e3b5, 0x8c3f2a, 0xd9c35a, 0x7fa04a), broth, 0.25)
		in := ellipse(w, h)
		c.fill(x+3, y+5, a, w+14, 10, in, flat(broth.lit(0.5), 0.6))
		c.fill(x, y, a, w+2, 2, in, func(u, v float64) (colour, float64) {
			return k.lit(1.08 - 0.012*(u*0.3+v)), 1
		})
	}
}

// board is a chopping board under a loaf.
func (c *canvas) board() {
	wood := c.one(0xd2b48c, 0xc49a6c, 0xb98b5e)
	in := func(x, y float64) float64 { return max(math.Abs(x)-330, math.Abs(y)-210) }
	c.shadow(c.mid.x, c.mid.y, 0.06, 400, in)
	c.fill(c.mid.x, c.mid.y, 0.06, 400, 2, in, func(x, y float64) (colour, float64) {
		return wood.lit(1.06 + 0.04*math.Sin(y*0.3+3*math.Sin(x*0.006)) - 0.0005*(x+y)), 1
	})
}

// loaf is a tin-shaped bake with two slices cut from it.
func (c *canvas) loaf() {
	base, crumb := c.crust(), c.one(0xf3e3bd, 0xe9cf9a, 0xd8a7a0)
	in := capsule(120, 95)
	c.shadow(c.mid.x-50, c.mid.y-20, 0.1, 230, in)
	c.fill(c.mid.x-50, c.mid.y-20, 0.1, 230, 2, in, baked(base, in, 60))
	for i := range 2 {
		x, y := c.mid.x+165+float64(i)*58, c.mid.y+40+float64(i)*18
		slice := ellipse(62, 92)
		c.shadow(x, y, 0.25, 96, slice)
		c.fill(x, y, 0.25, 96, 2, slice, flat(base.lit(0.8), 1))
		c.fill(x, y, 0.25, 90, 3, ellipse(53, 83), func(u, v float64) (colour, float64) {
			hole := 0.08 * math.Sin(u*0.33) * math.Sin(v*0.27+u*0.1)
			return crumb.lit(1.02 - hole), 1
		})
		c.sprinkle(x, y, 42, 12, c.one(0x7d2f2a, 0x5d7f3a, 0xe0b13c))
	}
}
