package stoplist

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// southernHeadings are how lists of Italy, Spain, Catalonia and Portugal head a division: name, number, compass, box and count (common practice).
var southernHeadings = []struct{ printed, read string }{
	{"I Manuale - Grand'Organo (58 note, Do1-La5)", "Grand'Organo, manual 1, C2-A6"},
	{"I° Manuale: Grand'Organo", "Grand'Organo, manual 1"},
	{"1ª tastiera, Grand'Organo, Do1-Sol5", "Grand'Organo, manual 1, C2-G6"},
	{"Prima tastiera (Positivo tergale), C1-g5", "Positivo tergale, manual 1, C2-G6"},
	{"Seconda tastiera: Organo Eco", "Organo Eco, manual 2"},
	{"Tastiera I - Organo Grande", "Organo Grande, manual 1"},
	{"Tastiera II – Recitativo espressivo, 12 registri", "Recitativo espressivo, manual 2, in a swell box"},
	{"II Tastiera - Espressivo", "Espressivo, manual 2, in a swell box"},
	{"II tastiera (Organo Espressivo) 61 note", "Organo Espressivo, manual 2, in a swell box, C2-C7"},
	{"Grande Organo (I tastiera)", "Grande Organo, manual 1"},
	{"GRAND'ORGANO - I MANUALE - 61 TASTI", "Grand'organo, manual 1, C2-C7"},
	{"Organo Positivo (manuale I, 56 tasti Do1-Sol5)", "Organo Positivo, manual 1, C2-G6"},
	{"Positivo espressivo (II manuale)", "Positivo, manual 2, in a swell box"},
	{"Positivo (II manuale, in cassa espressiva)", "Positivo, manual 2, in a swell box"},
	{"III Manuale - Recitativo (chiuso in cassa espressiva)", "Recitativo, manual 3, in a swell box"},
	{"Terzo manuale: Assolo espressivo", "Assolo, manual 3, in a swell box"},
	{"Manuale III, Eco (do1-do6)", "Eco, manual 3, C2-C7"},
	{"3° Manuale - Solo - n. 6 registri", "Solo, manual 3"},
	{"Primo manuale", "Manual I"},
	{"Secondo organo (tastiera inferiore)", "Secondo organo"},
	{"Primo Organo - tastiera superiore", "Primo Organo"},
	{"Organo Maggiore, 54 tasti con prima ottava corta", "Organo Maggiore, C2-A6"},
	{"Organo Piccolo (tastiera inferiore, 50 tasti, Do1-Fa5 con prima ottava corta)", "Organo Piccolo, C2-F6"},
	{"ORGANO ECO (II TASTIERA) - divisione bassi/soprani Do3-Do#3", "Organo Eco, manual 2"},
	{"Pedale", "Pedale, pedal"},
	{"Pedale (32 note, Do1-Sol3)", "Pedale, pedal, C2-G4"},
	{"Pedaliera di 30 note", "Pedaliera, pedal, C2-F4"},
	{"PEDALE (30 tasti, concavo-radiale)", "Pedale, pedal, C2-F4"},
	{"Pedale: Do1-Fa3", "Pedale, pedal, C2-F4"},
	{"Pedaliera (Do1-Re3, 27 pedali)", "Pedaliera, pedal, C2-D4"},
	{"Registri di Pedale (27 note)", "Pedale, pedal, C2-D4"},
	{"Registri del Grand'Organo", "Grand'Organo"},
	{"Al Grand'Organo", "Grand'Organo"},
	{"Al Pedale", "Pedale, pedal"},
	{"Organo Corale, III manuale", "Organo Corale, manual 3"},
	{"Corpo d'eco - II tastiera", "Corpo d'eco, manual 2"},
	{"G.O. (I tastiera)", "Grand'Organo, manual 1"},
	{"O. E. (II tastiera)", "Organo Espressivo, manual 2, in a swell box"},
	{"I tast. - G.O.", "Grand'Organo, manual 1"},
	{"II man. - Espr.", "Espr, manual 2, in a swell box"},
	{"Ped.", "Pedal"},

	{"I Teclado. Órgano Mayor (C-g''')", "Órgano Mayor, manual 1, C2-G6"},
	{"II teclado - Recitativo expresivo (C-g3)", "Recitativo expresivo, manual 2, in a swell box, C2-G6"},
	{"1.er teclado: Cadereta (56 notas)", "Cadereta, manual 1, C2-G6"},
	{"2º teclado: Órgano Mayor, Do1-Sol5", "Órgano Mayor, manual 2, C2-G6"},
	{"3.º teclado, Expresivo", "Expresivo, manual 3, in a swell box"},
	{"Primer teclado (Cadereta)", "Cadereta, manual 1"},
	{"Segundo teclado - Gran Órgano - 15 registros", "Gran Órgano, manual 2"},
	{"Tercer Teclado: Recitativo (en caja de expresión)", "Recitativo, manual 3, in a swell box"},
	{"Teclado I: Positivo (56 notas)", "Positivo, manual 1, C2-G6"},
	{"Teclado III (Eco expresivo), C-c''''", "Eco expresivo, manual 3, in a swell box, C2-C7"},
	{"ÓRGANO MAYOR, 2º TECLADO", "Órgano Mayor, manual 2"},
	{"Órgano de Ecos, tercer teclado", "Órgano de Ecos, manual 3"},
	{"Manual I – Cadereta interior", "Cadereta interior, manual 1"},
	{"II Manual - Órgano Principal (54 notas C-f3)", "Órgano Principal, manual 2, C2-F6"},
	{"Cadereta exterior (I teclado, 47 notas, octava corta)", "Cadereta exterior, manual 1, C2-D6"},
	{"Órgano Mayor (teclado superior)", "Órgano Mayor"},
	{"Cadereta (teclado inferior)", "Cadereta"},
	{"Pedal (30 notas)", "Pedal, C2-F4"},
	{"Pedalero (C-f1)", "Pedalero, pedal, C2-F4"},
	{"Pedal de 12 notas", "Pedal, C2-B2"},
	{"Pedal: 8 contras, C-B", "Pedal, C2-B2"},
	{"Contras (8 pisas)", "Contras, pedal, C2-B2"},
	{"ORGUE MAJOR, 2n teclat (47 notes, Do1-Re5 sense Do#1)", "Orgue Major, manual 2, C2-D6"},
	{"CADIRETA, 1r teclat (47 notes)", "Cadireta, manual 1, C2-Bb5"},
	{"ORGUE EXPRESSIU, 3r teclat", "Orgue Expressiu, manual 3, in a swell box"},
	{"I Teclat: Cadireta de cara (56 notes)", "Cadireta de cara, manual 1, C2-G6"},
	{"Primer teclat - Cadireta", "Cadireta, manual 1"},
	{"Segon teclat, Orgue Major", "Orgue Major, manual 2"},
	{"Tercer teclat: Recitatiu expressiu", "Recitatiu expressiu, manual 3, in a swell box"},
	{"Quart teclat – Eco", "Eco, manual 4"},
	{"2n manual (Orgue Major) C-g'''", "Orgue Major, manual 2, C2-G6"},
	{"Pedal (27 notes)", "Pedal, C2-D4"},
	{"I Teclado – Positivo (Dó1-Sol5)", "Positivo, manual 1, C2-G6"},
	{"II Teclado – Órgão Principal (C-g3)", "Órgão Principal, manual 2, C2-G6"},
	{"1º manual: Órgão Positivo", "Órgão Positivo, manual 1"},
	{"2.º Manual - Grande Órgão", "Grande Órgão, manual 2"},
	{"Terceiro teclado: Recitativo expressivo", "Recitativo expressivo, manual 3, in a swell box"},
	{"Primeiro teclado (Órgão de Eco) 54 notas", "Órgão de Eco, manual 1, C2-F6"},
	{"Pedaleira (30 notas, Dó-Fá)", "Pedaleira, pedal, C2-F4"},
	{"Pedaleira - 27 notas", "Pedaleira, pedal, C2-D4"},
	{"Órgão Maior, 45 notas com oitava curta", "Órgão Maior, C2-C6"},
}

func TestSouthernHeadings(t *testing.T) {
	for _, x := range southernHeadings {
		stops := "\nFlautado 8'\nOctava 4'\nQuincena 2'\nLleno IV\n"
		if strings.Contains(x.printed, "rgano") || strings.Contains(x.read, "Pedale") || strings.Contains(plain(x.printed), "astier") || strings.Contains(plain(x.printed), "anuale") || strings.Contains(x.printed, ".") {
			stops = "\nPrincipale 8'\nOttava 4'\nDecimaquinta 2'\nRipieno 4 file\n"
		}
		if strings.HasPrefix(x.read, "Ped") || strings.HasPrefix(x.read, "Contras") {
			stops = "\nSubbasso 16'\nContrabbasso 16'\nBasso 8'\n"
		}
		l := Read(x.printed + stops)
		read := "-"
		for _, said := range l.Lines[0].Readings {
			if said.What == IsHeading {
				read = said.Text
			}
		}
		assert.Equal(t, x.read, read, x.printed)
	}
}

// southernFacts stand between the heading of the manual and its stops, or ahead of it, and head nothing.
var southernFacts = []string{
	"Pedaliera: 24 tasti, reali 12", "Pedaliera a leggio di 17 note con prima ottava corta", "Pedaliera piana di 27 note (Do1-Re3), 12 note reali", "Pedaliera: di 18 tasti, a leggio, unita stabilmente",
	"Pedaliera (18 note, scavezza) costantemente unita alla tastiera", "Tastiera di 50 tasti (Do1-Fa5) con prima ottava corta", "Tastiera: 61 tasti, Do1-Do6; divisione bassi e soprani tra Si2 e Do3", "Una tastiera di 52 note, divisione Si2-Do3",
	"Pedale di 18 note, sempre unito", "Due tastiere di 58 note; pedaliera di 27", "Tastiere: 2 di 61 note", "Pedaliera: concavo-radiale di 32 note", "Manuali: 58 tasti; Pedale: 30 tasti", "Consolle: a finestra, con tastiera di 54 tasti in bosso",
	"Pedaliera: parallela, 27 pedali (Do1-Re3)", "Pedaliera: 20 pedali a leggio (12 reali)", "Tastiera: originale di 45 tasti, prima ottava corta", "Pedaliera: 30 note", "Tastiera: 54 note",
	"Teclado de 45 notas, octava corta", "Teclado: 51 notas (C-d''')", "Teclado partido entre c1 y c#1, 45 notas", "Teclados de 56 notas, pedal de 30", "Pedalero de 8 contras, octava corta", "Teclado manual de 54 notas (C-f3); pedal de 27 notas (C-d1)",
	"Pedal: 30 notas, radial y cóncavo", "Extensión del teclado: 45 notas", "Dos teclados de 56 notas y pedal de 30 notas", "Un teclado partido de 45 notas y ocho pisas", "Extensió dels teclats: 56 notes; pedaler: 30 notes", "Teclat de 47 notes amb octava curta", "Pedaler de 18 notes, sempre unit",
	"Teclado de 47 notas, oitava curta", "Pedaleira de 12 notas, unida ao teclado", "Extensão dos teclados: Dó1-Sol5 (56 notas)", "Dois teclados de 54 notas; pedaleira de 27 notas",
}

func TestSouthernFactsHeadNothing(t *testing.T) {
	for _, fact := range southernFacts {
		for _, list := range []string{"Órgano Mayor\n" + fact + "\nFlautado 8'\nOctava 4'\nQuincena 2'\nLleno IV\n", fact + "\n\nFlautado 8'\nOctava 4'\nQuincena 2'\nLleno IV\n"} {
			if strings.Contains(fact, "ast") || strings.Contains(fact, "edalier") || strings.Contains(fact, "edale") || strings.Contains(fact, "Manuali") {
				list = strings.NewReplacer("Órgano Mayor", "Grand'Organo", "Flautado 8'", "Principale 8'", "Octava", "Ottava", "Quincena", "Decimaquinta", "Lleno IV", "Ripieno 4 file").Replace(list)
			}
			l := Read(list)
			for _, d := range l.Divisions {
				if d.Pedal {
					assert.Empty(t, d.Stops, fact)
				} else {
					assert.Len(t, d.Stops, 4, fact)
				}
			}
			assert.LessOrEqual(t, len(l.manuals()), 1, fact)
			assert.Empty(t, l.Unread(), fact)
		}
	}
}
