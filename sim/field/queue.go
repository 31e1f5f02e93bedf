package field

// edge is a pipe beginning to sound or its pallet shutting, as the seat hears it.
type edge struct {
	at    float64
	event int32
}

func (a edge) before(b edge) bool { return a.at < b.at || a.at == b.at && a.event < b.event }

// queue is a binary heap of edges: the earliest stands first. It holds the pipes of the moment,
// not of the piece.
type queue []edge

func (q *queue) push(x edge) {
	h := append(*q, x)
	i := len(h) - 1
	for i > 0 && x.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = x
	*q = h
}

func (q *queue) pop() edge {
	h := *q
	first, n := h[0], len(h)-1
	x := h[n]
	h = h[:n]
	i := 0
	for 2*i+1 < n {
		c := 2*i + 1
		if c+1 < n && h[c+1].before(h[c]) {
			c++
		}
		if !h[c].before(x) {
			break
		}
		h[i] = h[c]
		i = c
	}
	if n > 0 {
		h[i] = x
	}
	*q = h
	return first
}
