package stoplist

// southernRoles are further names of divisions in Italian, Spanish, Catalan and Portuguese lists, as in roleNames.
var southernRoles = map[string][]string{
	"great": {"Primo Organo", "Organo Primo", "Organo Maggiore", "Primer Órgano", "Órgano Grande", "Órgano Mayor interior", "Orgue Major interior", "Manual principal", "Tastiera principale", "Órgão Mor", "Organo Principale", "Grande Organo", "Organo Maestro", "Órgano Mayor de tribuna", "Cara principal"},
	"swell": {"+Recit expresivo", "+Terzo Organo", "+Organo Terzo", "+Exp", "+Expr", "+Espr", "+Org. espr", "+Org. Espressivo", "+Recitado expresivo", "+Órgano de recitativo", "+Narrativo"},
	"positive": {"Organo Piccolo", "Piccolo Organo", "Secondo Organo", "Organo Secondo", "Segundo Órgano", "Órgano Menor", "Positivo Interior", "Positivo aperto", "Positivo Mayor", "Positiu interior", "Positivo de peito",
		"Positivo de costas", "Positivo di risposta", "Cadireta de cara", "Cadireta de l'esquena", "Cadireta d'esquena", "Organo positivo tergale", "Positivo di spalle", "Cadereta de cara"},
	"echo":  {"+Organo Eco espressivo", "+Eco espressivo", "Arca", "Cajonería de eco", "Órgano eco", "Caja de ecos", "Ecos expresivos", "Secreto de ecos", "Corpo d'eco", "+Eco expresivo", "+Eco expressivo", "+Eco expressiu"},
	"pedal": {"Pedal de pisas", "Contras del pedal", "Peana", "Peanas", "Pedalera de contras", "Pedales de contras", "Teclado de pedales", "Teclado pedal", "Tastiera pedale", "Tastiera dei pedali", "Pedali", "Pedaliere"},
}
