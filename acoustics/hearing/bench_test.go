package hearing

import (
	"math"
	"testing"
)

func organLike(m *Model, db float64) []float64 {
	p := make([]float64, m.N())
	for i, hz := range m.Bands() {
		p[i] = math.Pow(10, (db-6*math.Abs(math.Log2(hz/400)))/10)
	}
	return p
}

func BenchmarkHeardShare(b *testing.B) {
	m := New(Options{})
	w, now, old := m.NewWork(), organLike(m, 60), organLike(m, 70)
	b.ReportAllocs()
	for b.Loop() {
		m.HeardShare(now, old, w)
	}
}

func BenchmarkBeside(b *testing.B) {
	m := New(Options{})
	w, now, old, noise := m.NewWork(), organLike(m, 60), organLike(m, 70), organLike(m, 20)
	b.ReportAllocs()
	for b.Loop() {
		m.Beside(now, old, noise, w)
	}
}

func BenchmarkExcitation(b *testing.B) {
	m := New(Options{})
	w, now, dst := m.NewWork(), organLike(m, 70), make([]float64, m.N())
	b.ReportAllocs()
	for b.Loop() {
		m.Excitation(dst, now, w)
	}
}

func BenchmarkLoudness(b *testing.B) {
	m := New(Options{})
	w, now := m.NewWork(), organLike(m, 70)
	b.ReportAllocs()
	for b.Loop() {
		m.Loudness(now, w)
	}
}

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		New(Options{})
	}
}
