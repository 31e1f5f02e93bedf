package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Lists of the south speak of their keyboards in a line of its own, ahead of the stops or between a heading and its stops: "Pedaliera: 24 tasti, reali 12".

var (
	// keyboardsAhead begins a line on keyboards.
	keyboardsAhead = lazyregexp.New(`^(?:(?:una?|due|dos|dois|duas|tre|tres|i|els|os|los|[1-4]) )?(?:extensi(?:on|o)|estensione|tessitura|extensao|ambito)? ?(?:de los |dos |dels |del |delle |della |de |do )?(?:tastier[ae]|manuali|manuales|manuais|manuals|teclados?|teclats?|pedalier[ae]|pedale|pedal|pedalero|pedalera|pedaleira|pedaler|consolle|consola)\b`)
	// ofKeyboards are the words in it that name no stop and no division.
	ofKeyboards = wordSet(`di de del della delle dei degli la il le lo un una uno el los las els les os as do da dos con amb com a e y i ed en em in al alla ao por per fra tra entre cada ciascuna uno i ogni
		tasti tasto note notas notes teclas tecles pedali pedal pedals tastiera tastiere teclado teclados teclat teclats manuale manuali manual manuales manuais manuals pedaliera pedale pedalero pedalera pedaleira pedaler
		consolle consola finestra bosso ebano osso ebanisteria legno bassi soprani bajos tiples
		prima primera primeira ottava octava oitava corta curta scavezza cromatica cromatico tendida completa intera estesa
		reali reale reales reais real effettive effettivi canne proprie senza propri registri primi
		leggio piana piano dritta diritta parallela concava concavo concavo-radiale radiale radial concavo recta reta curva tipo italiana italiano alemana aleman francesa
		sempre siempre unita unito unite uniti unida unido unit costantemente permanentemente constantemente stabilmente acoplado acoplada enganchada enganchado anganxat
		originale originali original originais moderna moderno diatonica spezzata spezzate partido partidos partida partit partits dividido divisione divisa diviso divisoria
		extension extensio extensao estensione tessitura ambito due dos dois duas tre tres`)
	// realKeys are the keys of a pedal that have pipes of their own, the others repeat them: "reali 12", "12 reali".
	realKeys  = lazyregexp.New(`(?i)[ ,;(\-–]*(?:(?:di cui |solo |de las cuales |dos quais )?(?:reali|reales|reais|effettiv[ei]|note reali|suoni reali) ?:? ?\d{1,2}\b|(?:di cui |solo |de las cuales |dos quais )?\d{1,2} (?:note |notas |tasti |suoni )?(?:reali|reales|reais|effettiv[ei])\b)`)
	keysAlone = lazyregexp.New(`(?i)(?:do|re|mi|fa|sol|la|si|[a-h]) ?#?\d?'*#?(?: ?[\-/] ?(?:do|re|mi|fa|sol|la|si|[a-h]) ?#?\d?'*)?`)
)

// saysKeyboards tells whether a line speaks of keyboards, gives the keys of one, and names nothing else.
func saysKeyboards(text string) bool {
	low := plain(text)
	if len(low) > 160 || !keyboardsAhead.MatchString(low) {
		return false
	}
	keys := false
	for _, part := range sentences(strings.ReplaceAll(realKeys.ReplaceAllString(text, " "), ";", ".  ")) {
		_, _, rest, _, found := findCompass(part, strings.Contains(plain(part), "ped") || fewContras.MatchString(part))
		if again, _, more, _, ok := findCompass(rest, true); found && ok && again > 0 { // manuals and pedal in one sentence
			rest = more
		}
		keys = keys || found
		for _, w := range strings.FieldsFunc(plain(rest), func(c rune) bool { return strings.ContainsRune(" ,.:;()-/", c) }) {
			if !ofKeyboards[w] && keysAlone.FindString(w) != w && !(len(w) == 1 && digitsOnly(w)) {
				return false
			}
		}
	}
	return keys
}

// keyboardLine reads a line on the keyboards; false where it is anything else, or heads the stops behind it: a pedal's, or those of a manual that it
// names or numbers.
func (r *reader) keyboardLine(text string) bool {
	if r.list.Language != "it" && r.list.Language != "es" || strings.ContainsAny(r.lines[r.at], "|!") || !saysKeyboards(text) { // a cell of a table heads what stands below
		return false
	}
	label, _, labelled := strings.Cut(text, ":")
	d, ok := heading(text)
	if !ok && labelled {
		d, ok = heading(label)
	}
	if ok && !d.Pedal && (d.Role != "" || d.Number > 0) || ok && d.Pedal && r.pedalFollows() {
		return false
	}
	said := r.list.compasses(text, plain(text))
	if len(said) == 0 {
		return false
	}
	r.say(IsFact, strings.Join(said, ", "), "")
	if pulledDown.MatchString(text) {
		r.pulled()
	}
	return true
}

// pedalFollows tells whether the stops behind the line under way may be those of a pedal: the division before it has its own, and no heading follows; or
// the first is a bass.
func (r *reader) pedalFollows() bool {
	found, _ := r.stopsIn(stripBullet(r.neighbour(r.at, 1)), true)
	if len(found) == 0 {
		return false
	}
	return r.current >= 0 && !r.inPedal() && len(r.list.Divisions[r.current].Stops) > 1 || found[0].Kind.Bass || found[0].Feet >= 16
}
