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
	if tw := t.tw[level]; q%8 != 0 || !downWide(re, im, tw) {
		for row := block(q); len(tw) > 0; tw = tw[6*row:] {
			downRow(r0, r1, r2, r3, i0, i1, i2, i3, tw, row)
			r0, r1, r2, r3 = r0[row:], r1[row:], r2[row:], r3[row:]
			i0, i1, i2, i3 = i0[row:], i1[row:], i2[row:], i3[row:]
		}
		r0, r1, r2, r3 = re[:q], re[q:2*q], re[2*q:3*q], re[3*q:4*q]
		i0, i1, i2, i3 = im[:q], im[q:2*q], im[2*q:3*q], im[3*q:4*q]
	}
	t.down(r0, i0, level+1)
	t.down(r1, i1, level+1)
	t.down(r2, i2, level+1)
	t.down(r3, i3, level+1)
}

// downRow is the stage for one row of roots. Products are rounded before they are added, also where a processor could do both at
// once: the bits are the same everywhere.
func downRow[T Float](r0, r1, r2, r3, i0, i1, i2, i3, tw []T, row int) {
	w1r, w1i, w2r := tw[:row], tw[row:2*row], tw[2*row:3*row]
	w2i, w3r, w3i := tw[3*row:4*row], tw[4*row:5*row], tw[5*row:6*row]
	r0, r1, r2, r3, i0, i1, i2, i3 = r0[:row], r1[:row], r2[:row], r3[:row], i0[:row], i1[:row], i2[:row], i3[:row]
	for j := range r0 {
		sr, si := r0[j]+r2[j], i0[j]+i2[j]
		dr, di := r0[j]-r2[j], i0[j]-i2[j]
		ur, ui := r1[j]+r3[j], i1[j]+i3[j]
		vr, vi := i1[j]-i3[j], r3[j]-r1[j] // -i·(x1-x3)
		r0[j], i0[j] = sr+ur, si+ui
		ar, ai := dr+vr, di+vi
		r1[j], i1[j] = T(ar*w1r[j])-T(ai*w1i[j]), T(ar*w1i[j])+T(ai*w1r[j])
		ar, ai = sr-ur, si-ui
		r2[j], i2[j] = T(ar*w2r[j])-T(ai*w2i[j]), T(ar*w2i[j])+T(ai*w2r[j])
		ar, ai = dr-vr, di-vi
		r3[j], i3[j] = T(ar*w3r[j])-T(ai*w3i[j]), T(ar*w3i[j])+T(ai*w3r[j])
	}
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
	for j := range 2 { // roots of a kind stand two in a row
		w := tw[j : j+11]
		sr, si := re[j]+re[j+4], im[j]+im[j+4]
		dr, di := re[j]-re[j+4], im[j]-im[j+4]
		ur, ui := re[j+2]+re[j+6], im[j+2]+im[j+6]
		vr, vi := im[j+2]-im[j+6], re[j+6]-re[j+2]
		re[j], im[j] = sr+ur, si+ui
		ar, ai := dr+vr, di+vi
		re[j+2], im[j+2] = T(ar*w[0])-T(ai*w[2]), T(ar*w[2])+T(ai*w[0])
		ar, ai = sr-ur, si-ui
		re[j+4], im[j+4] = T(ar*w[4])-T(ai*w[6]), T(ar*w[6])+T(ai*w[4])
		ar, ai = dr-vr, di-vi
		re[j+6], im[j+6] = T(ar*w[8])-T(ai*w[10]), T(ar*w[10])+T(ai*w[8])
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
		up8(re, im, t.tw[level])
		return
	}
	r0, r1, r2, r3 := re[:q], re[q:2*q], re[2*q:3*q], re[3*q:4*q]
	i0, i1, i2, i3 := im[:q], im[q:2*q], im[2*q:3*q], im[3*q:4*q]
	t.up(r0, i0, level+1)
	t.up(r1, i1, level+1)
	t.up(r2, i2, level+1)
	t.up(r3, i3, level+1)
	tw := t.tw[level]
	if q%8 == 0 && upWide(re, im, tw) {
		return
	}
	for row := block(q); len(tw) > 0; tw = tw[6*row:] {
		upRow(r0, r1, r2, r3, i0, i1, i2, i3, tw, row)
		r0, r1, r2, r3 = r0[row:], r1[row:], r2[row:], r3[row:]
		i0, i1, i2, i3 = i0[row:], i1[row:], i2[row:], i3[row:]
	}
}

// upRow is the inverse stage for one row of roots.
func upRow[T Float](r0, r1, r2, r3, i0, i1, i2, i3, tw []T, row int) {
	w1r, w1i, w2r := tw[:row], tw[row:2*row], tw[2*row:3*row]
	w2i, w3r, w3i := tw[3*row:4*row], tw[4*row:5*row], tw[5*row:6*row]
	r0, r1, r2, r3, i0, i1, i2, i3 = r0[:row], r1[:row], r2[:row], r3[:row], i0[:row], i1[:row], i2[:row], i3[:row]
	for j := range r0 {
		ar, ai := T(r1[j]*w1r[j])+T(i1[j]*w1i[j]), T(i1[j]*w1r[j])-T(r1[j]*w1i[j])
		br, bi := T(r2[j]*w2r[j])+T(i2[j]*w2i[j]), T(i2[j]*w2r[j])-T(r2[j]*w2i[j])
		cr, ci := T(r3[j]*w3r[j])+T(i3[j]*w3i[j]), T(i3[j]*w3r[j])-T(r3[j]*w3i[j])
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

func up8[T Float](re, im []T, tw []T) {
	re, im, tw = re[:8], im[:8], tw[:12]
	for k := 0; k < 8; k += 2 {
		re[k], re[k+1] = re[k]+re[k+1], re[k]-re[k+1]
		im[k], im[k+1] = im[k]+im[k+1], im[k]-im[k+1]
	}
	for j := range 2 {
		w := tw[j : j+11]
		ar, ai := T(re[j+2]*w[0])+T(im[j+2]*w[2]), T(im[j+2]*w[0])-T(re[j+2]*w[2])
		br, bi := T(re[j+4]*w[4])+T(im[j+4]*w[6]), T(im[j+4]*w[4])-T(re[j+4]*w[6])
		cr, ci := T(re[j+6]*w[8])+T(im[j+6]*w[10]), T(im[j+6]*w[8])-T(re[j+6]*w[10])
		sr, si := re[j]+br, im[j]+bi
		dr, di := re[j]-br, im[j]-bi
		ur, ui := ar+cr, ai+ci
		vr, vi := ci-ai, ar-cr // i·(a-c)
		re[j], im[j] = sr+ur, si+ui
		re[j+2], im[j+2] = dr+vr, di+vi
		re[j+4], im[j+4] = sr-ur, si-ui
		re[j+6], im[j+6] = dr-vr, di-vi
	}
}
