package stoplist

import (
	"slices"
	"strings"
)

// columnNames head the columns of a table of stops.
var columnNames = wordSet(`n no nr num # pos registro registri register registre registres registers stop stops name nome naam nom nombre bezeichnung jeu jeux length lengte länge longueur lunghezza
	fuß fuss fußlage fußtonlage tonlage lage pitch misura piedi pieds pies voet feet ft taille hauteur altura canne pipes pfeifen tuyaux pijpen tubos tubi material materiale matériau matériaux materiaal note notes bemerkung
	bemerkungen anmerkung anmerkungen remark remarks comment comments remarques observations observaciones opmerking opmerkingen osservazioni division werk year jahr anno année jaar año ranks file rangs chöre reihen hileras rijen
	baujahr origin herkunft origine origen herkomst compass umfang ambitus wind composition zusammensetzung composizione samenstelling composición bauart bauform anzahl número numero numéro nummer`)

func wordSet(words string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(words) {
		set[plain(w)] = true
	}
	return set
}

// namesColumns tells whether a line only says what stands in the columns below: "Nr. | Register | Fuß | Bemerkung".
func namesColumns(list []cell) bool {
	var words []string
	cells := 0
	for _, c := range list {
		if c.text != "" {
			cells++
			words = append(words, strings.Fields(plain(c.text))...)
		}
	}
	return len(words) > 2 && len(words) <= 2*max(cells, 3) && !slices.ContainsFunc(words, func(w string) bool { return !columnNames[strings.Trim(w, ".:()°")] })
}
