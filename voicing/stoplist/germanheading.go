package stoplist

// germanRoles are names of divisions in German lists beside those that all languages share (roleNames).
var germanRoles = map[string][]string{
	"great":    {"Hauptwerck", "Hauptwerk Organ", "Manualwerk", "Großes Werk", "Großwerk", "Mittelwerk", "Mittelmanual"},
	"swell":    {"Recitativ", "Rezitativ", "+Schwell-Werk", "+Schwellmanual", "+Récit-Werk", "+Récitwerk", "+Brustschwellwerk", "+Oberschwellwerk", "+Schwellunterwerk", "+Recit-Schwellwerk", "+Großes Schwellwerk", "+Kleines Schwellwerk"},
	"positive": {"+Schwellpositiv", "+Positiv-Schwellwerk", "+Schwell-Positiv", "Rückpositiff", "Rück-Positiv", "Ruckpositif", "Rückpos", "Rückp", "Positivwerk", "Kleinpositiv", "Turmpositiv", "Schwalbennest", "Brüstungswerk", "Fußpositiv", "Chorwerk"},
	"breast":   {"+Schwellbrustwerk", "Brustwerck", "Brust-Werk", "Brustpos", "Brustw"},
	"upper":    {"+Schwelloberwerk", "Oberw", "Hinterpositiv", "Vorderwerk", "Kleines Werk"},
	"echo":     {"Echowerk", "Echopositiv", "+Fernwerck", "Turmwerk", "Deckenwerk"},
	"bombarde": {"Bombardewerk", "Bombardenmanual", "Chamadenwerk", "Chamadewerk"},
	"solo":     {"Solowerck", "Solomanual", "+Soloschwellwerk", "Discantwerk", "Diskantwerk"},
	"pedal":    {"Pedalia", "Großpedal", "Kleinpedal", "Pedall", "Fernpedal", "Echopedal", "Chorpedal", "Pedaltürme", "Pedalturm"},
}
