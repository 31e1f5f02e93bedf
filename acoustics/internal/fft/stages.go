package fft

// Down transforms n points in place (e^-2πijk/n) and leaves them in digit-reversed order; see [Plan.Order].
func (t *Plan[T]) Down(re, im []T) { t.down(re[:t.n], im[:t.n], 0) }

// Up undoes Down, without the division by n.
func (t *Plan[T]) Up(re, im []T) { t.up(re[:t.n], im[:t.n], 0) }

// down is the decimation in frequency of one block, depth first so that the smaller
// blocks stay in the cache.
func (t *Plan[T]) down(re, im []T, level int) {
	if level == len(t.tw) {
		if len(re) == 2 {
			re[0], re[1] = re[0]+re[1], re[0]-re[1]
			im[0], im[1] = im[0]+im[1], im[0]-im[1]
		}
		return
	}
	q := len(re) / 4
	switch q {
	case 1:
		down4(re, im)
		return
	case 2:
		down8(re, im, t.tw[level])
		return
	}
	r0, r1, r2, r3 := re[:q], re[q:2*q], re[2*q:3*q], re[3*q:4*q]
	i0, i1, i2, i3 := im[:q], im[q:2*q], im[2*q:3*q], im[3*q:4*q]
	r1, r2, r3, i0, i1, i2, i3 = r1[:len(r0)], r2[:len(r0)], r3[:len(r0)], i0[:len(r0)], i1[:len(r0)], i2[:len(r0)], i3[:len(r0)]
	tw := t.tw[level]
	for j := range r0 {
		w := tw[:6:6]
		tw = tw[6:]
		sr, si := r0[j]+r2[j], i0[j]+i2[j]
		dr, di := r0[j]-r2[j], i0[j]-i2[j]
		ur, ui := r1[j]+r3[j], i1[j]+i3[j]
		vr, vi := i1[j]-i3[j], r3[j]-r1[j] // -i·(x1-x3)
		r0[j], i0[j] = sr+ur, si+ui
		ar, ai := dr+vr, di+vi
		r1[j], i1[j] = ar*w[0]-ai*w[1], ar*w[1]+ai*w[0]
		ar, ai = sr-ur, si-ui
		r2[j], i2[j] = ar*w[2]-ai*w[3], ar*w[3]+ai*w[2]
		ar, ai = dr-vr, di-vi
		r3[j], i3[j] = ar*w[4]-ai*w[5], ar*w[5]+ai*w[4]
	}
	t.down(r0, i0, level+1)
	t.down(r1, i1, level+1)
	t.down(r2, i2, level+1)
	t.down(r3, i3, level+1)
}

func down4[T Float](re, im []T) {
	re, im = re[:4], im[:4]
	sr, si := re[0]+re[2], im[0]+im[2]
	dr, di := re[0]-re[2], im[0]-im[2]
	ur, ui := re[1]+re[3], im[1]+im[3]
	vr, vi := im[1]-im[3], re[3]-re[1]
	re[0], im[0] = sr+ur, si+ui
	re[1], im[1] = dr+vr, di+vi
	re[2], im[2] = sr-ur, si-ui
	re[3], im[3] = dr-vr, di-vi
}

func down8[T Float](re, im []T, tw []T) {
	re, im, tw = re[:8], im[:8], tw[:12]
	for j := range 2 {
		w := tw[6*j : 6*j+6 : 6*j+6]
		sr, si := re[j]+re[j+4], im[j]+im[j+4]
		dr, di := re[j]-re[j+4], im[j]-im[j+4]
		ur, ui := re[j+2]+re[j+6], im[j+2]+im[j+6]
		vr, vi := im[j+2]-im[j+6], re[j+6]-re[j+2]
		re[j], im[j] = sr+ur, si+ui
		ar, ai := dr+vr, di+vi
		re[j+2], im[j+2] = ar*w[0]-ai*w[1], ar*w[1]+ai*w[0]
		ar, ai = sr-ur, si-ui
		re[j+4], im[j+4] = ar*w[2]-ai*w[3], ar*w[3]+ai*w[2]
		ar, ai = dr-vr, di-vi
		re[j+6], im[j+6] = ar*w[4]-ai*w[5], ar*w[5]+ai*w[4]
	}
	for k := 0; k < 8; k += 2 {
		re[k], re[k+1] = re[k]+re[k+1], re[k]-re[k+1]
		im[k], im[k+1] = im[k]+im[k+1], im[k]-im[k+1]
	}
}

// up is the inverse of down, without the division by n.
func (t *Plan[T]) up(re, im []T, level int) {
	if level == len(t.tw) {
		if len(re) == 2 {
			re[0], re[1] = re[0]+re[1], re[0]-re[1]
			im[0], im[1] = im[0]+im[1], im[0]-im[1]
		}
		return
	}
	q := len(re) / 4
	switch q {
	case 1:
		up4(re, im)
		return
	case 2:
		for k := 0; k < 8; k += 2 {
			re[k], re[k+1] = re[k]+re[k+1], re[k]-re[k+1]
			im[k], im[k+1] = im[k]+im[k+1], im[k]-im[k+1]
		}
	}
	r0, r1, r2, r3 := re[:q], re[q:2*q], re[2*q:3*q], re[3*q:4*q]
	i0, i1, i2, i3 := im[:q], im[q:2*q], im[2*q:3*q], im[3*q:4*q]
	if q > 2 {
		t.up(r0, i0, level+1)
		t.up(r1, i1, level+1)
		t.up(r2, i2, level+1)
		t.up(r3, i3, level+1)
	}
	r1, r2, r3, i0, i1, i2, i3 = r1[:len(r0)], r2[:len(r0)], r3[:len(r0)], i0[:len(r0)], i1[:len(r0)], i2[:len(r0)], i3[:len(r0)]
	tw := t.tw[level]
	for j := range r0 {
		w := tw[:6:6]
		tw = tw[6:]
		ar, ai := r1[j]*w[0]+i1[j]*w[1], i1[j]*w[0]-r1[j]*w[1]
		br, bi := r2[j]*w[2]+i2[j]*w[3], i2[j]*w[2]-r2[j]*w[3]
		cr, ci := r3[j]*w[4]+i3[j]*w[5], i3[j]*w[4]-r3[j]*w[5]
		sr, si := r0[j]+br, i0[j]+bi
		dr, di := r0[j]-br, i0[j]-bi
		ur, ui := ar+cr, ai+ci
		vr, vi := ci-ai, ar-cr // i·(a-c)
		r0[j], i0[j] = sr+ur, si+ui
		r1[j], i1[j] = dr+vr, di+vi
		r2[j], i2[j] = sr-ur, si-ui
		r3[j], i3[j] = dr-vr, di-vi
	}
}

func up4[T Float](re, im []T) {
	re, im = re[:4], im[:4]
	sr, si := re[0]+re[2], im[0]+im[2]
	dr, di := re[0]-re[2], im[0]-im[2]
	ur, ui := re[1]+re[3], im[1]+im[3]
	vr, vi := im[3]-im[1], re[1]-re[3]
	re[0], im[0] = sr+ur, si+ui
	re[1], im[1] = dr+vr, di+vi
	re[2], im[2] = sr-ur, si-ui
	re[3], im[3] = dr-vr, di-vi
}
