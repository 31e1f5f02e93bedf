package sound

import (
	"slices"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/splitmix"
	"afterchord/voicing"
)

// pipesKept is the bound where a job sets none, bytes: enough for the plenum of a large organ (a test holds that), for where the
// pipes of a piece do not fit, they are computed again at every other chord.
const pipesKept = 96 << 20

// cache keeps the computed sound of pipes up to a bound; the least recently needed go
// first, and a voice that still sounds keeps its own.
type cache struct {
	bound, used int64
	entries     map[voicing.PipeID]*kept
	spoken      map[voicing.PipeID]struct{}
	wanted      []voicing.PipeID
	made        []*pipeSound
}

type kept struct {
	sound *pipeSound
	last  int64 // stretch in which it was last needed, by its first sample
}

// load makes the sound of every pipe of ids that is not kept, in parallel.
func (r *renderer) load(ids []voicing.PipeID) {
	c := &r.cache
	c.wanted = c.wanted[:0]
	for _, id := range ids {
		if e := c.entries[id]; e != nil {
			e.last = r.at
			continue
		}
		c.entries[id] = &kept{last: r.at}
		c.wanted = append(c.wanted, id)
	}
	if len(c.wanted) == 0 {
		return
	}
	c.made = slices.Grow(c.made[:0], len(c.wanted))[:len(c.wanted)]
	r.parallel(len(c.wanted), func(i int) {
		id := c.wanted[i]
		c.made[i] = newPipeSound(r.pipe(id), r.job.Rate, pipeSeed(r.job.Organ.Seed, id))
	})
	var windy [octave.N]bool
	for i, id := range c.wanted {
		c.entries[id].sound = c.made[i]
		c.used += c.made[i].bytes()
		c.spoken[id] = struct{}{}
		if s := c.made[i]; s.wind > 0 {
			windy[s.windBand] = true
		}
	}
	r.parallel(octave.N, func(b int) {
		if windy[b] {
			r.wind.ensure(b, r.job.Rate)
		}
	})
	if c.used > c.bound {
		c.shrink(r.at)
	}
}

// shrink drops the longest unneeded until the cache is a quarter below its bound.
func (c *cache) shrink(now int64) {
	type old struct {
		id   voicing.PipeID
		last int64
	}
	var all []old
	for id, e := range c.entries {
		if e.last < now {
			all = append(all, old{id, e.last})
		}
	}
	slices.SortFunc(all, func(a, b old) int { return int(a.last - b.last) })
	for _, o := range all {
		if c.used <= c.bound-c.bound/4 {
			return
		}
		c.used -= c.entries[o.id].sound.bytes()
		delete(c.entries, o.id)
	}
}

func pipeSeed(organ int64, id voicing.PipeID) uint64 {
	return splitmix.Mix(uint64(organ)*splitmix.Step + uint64(id.Division)<<24 + uint64(id.Stop)<<16 + uint64(id.Rank)<<8 + uint64(id.Key))
}
