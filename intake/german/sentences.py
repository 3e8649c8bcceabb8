"""German for what intake says outside of wording modules: each English sentence with its places to fill."""

from __future__ import annotations

_EXPORT = "Das Motiv im Programm, in dem es entstand, neu exportieren und diese Datei senden."

SENTENCES = {
    # specimens of messages
    "40 pieces": "40 Stück",
    "1 piece": "1 Stück",
    "left chest": "Brust links",
    "navy hoodie": "Hoodie marineblau",
    "Our print shop": "Unsere Druckerei",
    "Our print shop\nprints@shop.example": "Unsere Druckerei\nprints@shop.example",
    "Fri 4 Dec": "Fr., 4. Dez.",
    "Mon 7 Dec": "Mo., 7. Dez.",
    "the oven stood still": "der Ofen stand still",
    "Before we print, we have something to ask:": "vor dem Druck haben wir etwas zu fragen:",
    "1. crest.png – 40 pieces\nLines are thin.": "1. crest.png – 40 Stück\nLinien sind dünn.",
    "What happens next: nothing is printed until you answer.": "Gedruckt wird erst, wenn Sie antworten.",
    "The other artwork is fine.": "Das andere Motiv ist in Ordnung.",
    "A report.": "Ein Prüfbericht.",
    # papers and messages
    "There is no paper of {name} yet.": "Zu {name} gibt es noch kein Papier.",
    "It is made when its artwork is accepted and intake runs (filmdocket watch).": (
        "Es entsteht, wenn das Motiv freigegeben ist und die Annahme läuft (filmdocket watch)."
    ),
    "Bring it back from a backup.": "Aus einer Sicherung zurückholen.",
    "The kinds: {kinds}.": "Die Arten: {kinds}.",
    "The template {folder}/{kind}.txt cannot be used: {why}.": (
        "Die Vorlage {folder}/{kind}.txt ist nicht verwendbar: {why}."
    ),
    "Mend it, and see with `filmdocket messages check`; until then the shipped one is used.": (
        "Berichtigen und noch einmal ausprobieren; bis dahin gilt die mitgelieferte."
    ),
    # the drop page
    "{name} is empty.": "{name} ist leer.",
    "The new {name} is empty.": "Das neue {name} ist leer.",
    "Choose another file.": "Eine andere Datei wählen.",
    "Send it smaller.": "Kleiner senden.",
    "Begin again.": "Neu beginnen.",
    "Look at the list again.": "Die Liste noch einmal ansehen.",
    "Leave that repair out, or release it without.": "Diese Ausbesserung weglassen, oder ohne sie freigeben.",
    "Please say how wide or how high it is to be printed.": (
        "Bitte angeben, wie breit oder hoch es gedruckt wird."
    ),
    "Mend what is named and ask again.": "Das Genannte berichtigen und noch einmal fragen.",
    "Mend what is named and drop the file again.": (
        "Das Genannte berichtigen und die Datei noch einmal ablegen."
    ),
    # files that cannot be read
    "The EPS file has more than {most} MB.": "Die EPS-Datei hat mehr als {most} MB.",
    "Please export it as a PDF.": "Bitte als PDF exportieren.",
    "Looking at the EPS file took longer than is allowed, so it was stopped.": (
        "Die EPS-Datei zu lesen dauerte zu lange und wurde abgebrochen."
    ),
    "Please send a simpler version: flattened, or as a PNG at print size.": (
        "Bitte eine einfachere Fassung senden: auf eine Ebene reduziert, oder als PNG im Druckmaß."
    ),
    "The printer profile {path} cannot be used: {error}.": (
        "Das Druckerprofil {path} ist nicht verwendbar: {error}."
    ),
    "Set `film.printer_profile` in shop.toml to your printer's ICC profile, or to nothing.": (
        "In shop.toml film.printer_profile auf das ICC-Profil des Druckers setzen, oder leer lassen."
    ),
    "The file has {pages} pages; at most {most} are taken.": (
        "Die Datei hat {pages} Seiten; höchstens {most} werden angenommen."
    ),
    "Please send only the pages that are to be printed.": (
        "Bitte nur die Seiten senden, die gedruckt werden sollen."
    ),
    "This PDF is damaged and cannot be read.": "Dieses PDF ist beschädigt und nicht lesbar.",
    "Export the artwork again from the program that it was drawn in, and send that file.": _EXPORT,
    "This PDF unpacks to far more than any artwork needs, and was not opened further.": (
        "Dieses PDF wird entpackt weit größer, als ein Motiv es braucht, und wurde nicht weiter geöffnet."
    ),
    "This PDF has no pages.": "Dieses PDF hat keine Seiten.",
    "This PDF is locked with a password.": "Dieses PDF ist mit einem Passwort gesperrt.",
    "Save it again without a password and send that file.": (
        "Ohne Passwort neu speichern und diese Datei senden."
    ),
    "Page {page} of this PDF is damaged and cannot be drawn.": (
        "Seite {page} dieses PDFs ist beschädigt und lässt sich nicht zeichnen."
    ),
    "The Photoshop document holds layers only: it was saved without its flattened picture.": (
        "Das Photoshop-Dokument enthält nur Ebenen: es wurde ohne reduziertes Bild gespeichert."
    ),
    "Please save it again with “maximize compatibility” on, or send a flattened copy or a PNG.": (
        "Bitte mit „Kompatibilität maximieren“ neu speichern, oder eine reduzierte Kopie oder ein PNG senden."
    ),
    "The file is empty.": "Die Datei ist leer.",
    "Please send it again.": "Bitte neu senden.",
    "The file is not complete: {reason}": "Die Datei ist nicht vollständig: {reason}",
    "The upload probably stopped half way. Please send it again.": (
        "Die Übertragung brach wohl auf halbem Weg ab. Bitte neu senden."
    ),
    "The {what} file is damaged: its picture cannot be decoded.": (
        "Die {what}-Datei ist beschädigt: ihr Bild lässt sich nicht entschlüsseln."
    ),
    "Please export it again from the program it was made in, and send that.": (
        "Bitte im Programm, in dem sie entstand, neu exportieren und das senden."
    ),
    "The file says that it has {width} × {height} pixels; at most {most} million.": (
        "Die Datei gibt {width} × {height} Pixel an; höchstens {most} Millionen."
    ),
    "Please send it at the size it is to be printed, at 300 pixels an inch.": (
        "Bitte im Druckmaß senden, mit 300 Pixeln je Zoll."
    ),
    "There is no picture in the {what} file: it has no page, frame or pixel.": (
        "In der {what}-Datei ist kein Bild: keine Seite, kein Rahmen, kein Pixel."
    ),
    "Please export the artwork again and look at the file before sending it.": (
        "Bitte das Motiv neu exportieren und die Datei vor dem Senden ansehen."
    ),
    "Page {page} was ordered, but the file has {has}.": (
        "Seite {page} ist bestellt, aber die Datei hat {has}."
    ),
    "Please name a page from 1 to {pages}.": "Bitte eine Seite von 1 bis {pages} nennen.",
    "This is {what}, which cannot be printed from.": "Das ist {what}; davon lässt sich nicht drucken.",
    "This {what} is written in a way that cannot be read here (a rare compression or bit depth).": (
        "Diese Datei ({what}) ist so geschrieben, dass sie hier nicht lesbar ist (seltene "
        "Kompression oder Farbtiefe)."
    ),
    "Please save it in a plain way, or send a PNG.": "Bitte einfach speichern, oder ein PNG senden.",
    "The file cannot be read: {reason}.": "Die Datei ist nicht lesbar: {reason}.",
    "Check that it is there and may be read.": "Nachsehen, ob sie da ist und gelesen werden darf.",
    "Nothing of the SVG drawing can be shown: {reason}.": (
        "Von der SVG-Zeichnung lässt sich nichts zeigen: {reason}."
    ),
    "The drawing is too involved to be drawn here: {reason}.": (
        "Die Zeichnung ist zu verwickelt, um hier gezeichnet zu werden: {reason}."
    ),
    "Please simplify it or flatten it to paths, or send a PNG with transparency at print size.": (
        "Bitte vereinfachen oder auf Pfade reduzieren, oder ein PNG mit Transparenz im Druckmaß senden."
    ),
    "The processes that open artwork end as soon as they are started.": (
        "Die Prozesse, die Motive öffnen, enden sofort nach dem Start."
    ),
    "Run `filmdocket doctor`; it says what is missing.": "`filmdocket doctor` aufrufen; es sagt, was fehlt.",
    "The process that opens artwork cannot be started ({why}).": (
        "Der Prozess, der Motive öffnet, lässt sich nicht starten ({why})."
    ),
    "Run `filmdocket doctor`; installing filmdocket anew usually mends it.": (
        "`filmdocket doctor` aufrufen; filmdocket neu zu installieren hilft meist."
    ),
    "Free some memory and try again.": "Speicher freimachen und noch einmal versuchen.",
    # remarks of the readers
    "The document has layers; its flattened picture, as last saved, is what is looked at.": (
        "Das Dokument hat Ebenen; angesehen wird sein reduziertes Bild, wie zuletzt gespeichert."
    ),
    "The document has {what} (spot colours or saved masks), not transparency: not printed.": (
        "Das Dokument hat {what} (Sonderfarben oder Masken), keine Transparenz: sie werden nicht gedruckt."
    ),
    "The colours are for a printing press (CMYK); they were read with {how}.": (
        "Die Farben sind Druckfarben (CMYK); gelesen mit: {how}."
    ),
    "The inks of a duotone cannot be told from the file; it is looked at in greys.": (
        "Die Farben eines Duplexbilds stehen nicht in der Datei; angesehen wird es in Grau."
    ),
    "The picture has 32 bits a colour; it was read as linear light from black to white.": (
        "Das Bild hat 32 Bit je Farbe; gelesen als lineares Licht von Schwarz bis Weiß."
    ),
    "Left out of the drawing, as it cannot be printed: {names}.": (
        "Aus der Zeichnung weggelassen, weil nicht druckbar: {names}."
    ),
    "The drawing does not say how large it is in print; the order's size decides.": (
        "Die Zeichnung sagt nicht, wie groß sie gedruckt ist; das Maß im Auftrag entscheidet."
    ),
    "The drawing is so involved that only its first part was searched for lines and images.": (
        "Die Zeichnung ist so verwickelt, dass nur ihr erster Teil nach Linien und Bildern durchsucht ist."
    ),
    "The PDF is damaged in places and was mended while reading: compare the picture.": (
        "Das PDF ist stellenweise beschädigt und wurde beim Lesen ausgebessert: bitte das Bild vergleichen."
    ),
    "Parts of the PDF could not be unpacked and were not measured.": (
        "Teile des PDFs ließen sich nicht entpacken und sind nicht gemessen."
    ),
    "This PDF is a form (XFA): what other programs show of it may differ from this picture.": (
        "Dieses PDF ist ein Formular (XFA): andere Programme zeigen es vielleicht anders als dieses Bild."
    ),
    "Spot colours are printed as their nearest mix: {names}.": (
        "Sonderfarben werden als nächstliegende Mischung gedruckt: {names}."
    ),
    "Overprint is set in the PDF; film is printed without it: colours may cover each other.": (
        "Im PDF ist Überdrucken eingestellt; Film wird ohne gedruckt: Farben können sich verdecken."
    ),
    "The page states no usable size; US Letter was taken.": (
        "Die Seite gibt kein brauchbares Format an; angenommen ist US Letter."
    ),
    # questions about an order
    "The sizes of item {item} add up to {sizes}, but {quantity} pieces are ordered.": (
        "Die Größen von Position {item} ergeben {sizes}, bestellt sind aber {quantity} Stück."
    ),
    "Tell us which of the two is right.": "Bitte angeben, was stimmt.",
    "Item {item} asks for the film “{film}”, which we do not have.": (
        "Position {item} verlangt den Film „{film}“, den wir nicht haben."
    ),
    "Choose one of {kinds}.": "Möglich sind: {kinds}.",
    "Item {item} is the same as item {twin}: artwork, size, placement, service and garment.": (
        "Position {item} gleicht Position {twin}: Motiv, Maß, Platzierung, Leistung und Textil."
    ),
    "Tell us whether both are meant, or one was written twice.": (
        "Bitte angeben, ob beide gemeint sind oder eine doppelt steht."
    ),
    "The order was due on {due}, which had passed when it came in.": (
        "Der Auftrag war für {due} gewünscht; das war beim Eingang schon vorbei."
    ),
    "Tell us by when you need it.": "Bitte angeben, bis wann Sie es brauchen.",
    # the inbox
    "It is still changing.": "Die Datei ändert sich noch.",
    "It is still open for writing in another program.": "Ein anderes Programm schreibt noch daran.",
    "It waits with order {order}, which names it.": "Wartet mit dem Auftrag {order}, der es nennt.",
    "It waits for its artwork {name}, which is not in the same folder.": (
        "Wartet auf sein Motiv {name}, das nicht im selben Ordner liegt."
    ),
    "It waits for {name}, which is still changing.": "Wartet auf {name}, das sich noch ändert.",
    "It waits for the rest.": "Wartet auf den Rest.",
    "Taken as order {order}.": "Angenommen als Auftrag {order}.",
    "Taken as the artwork of order {order}.": "Angenommen als Motiv zum Auftrag {order}.",
    "Taken as corrected artwork.": "Angenommen als verbessertes Motiv.",
    "{path} is missing.": "{path} fehlt.",
    "{path} must be at least {least}, not {got}.": "{path} muss mindestens {least} sein, nicht {got}.",
    "{path} must be at most {most}, not {got}.": "{path} darf höchstens {most} sein, nicht {got}.",
    "{path} must be a whole number, not {got}.": "{path} muss eine ganze Zahl sein, nicht {got}.",
    "{path} must be a number, not {got}.": "{path} muss eine Zahl sein, nicht {got}.",
    "{path} must be a text in quotes, not {got}.": (
        "{path} muss ein Text in Anführungszeichen sein, nicht {got}."
    ),
    "{path} must be true or false, not {got}.": "{path} muss true oder false sein, nicht {got}.",
    "{path} must be a list in [ ], not {got}.": "{path} muss eine Liste in [ ] sein, nicht {got}.",
    "{path} must hold at least one.": "{path} muss mindestens eines enthalten.",
    "{path} is too large, not {got}.": "{path} ist zu groß ({got}).",
    "{path} cannot be used, not {got}.": "{path} ist nicht verwendbar ({got}).",
    "{path} needs width_mm or height_mm (the other follows from the artwork).": (
        "{path} braucht width_mm oder height_mm (das andere folgt aus dem Motiv)."
    ),
    "the text {text}": "der Text {text}",
    "a list": "eine Liste",
    "Did you mean {near}?": "Ist {near} gemeint?",
    "watching": "wartet auf Dateien",
    "stopped": "angehalten",
    "Something unexpected happened: {error}": "Etwas Unerwartetes ist geschehen: {error}",
    "{path} is not a key of an order file.": "{path} ist kein Schlüssel einer Auftragsdatei.",
    "The file holds nothing yet.": "Die Datei enthält noch nichts.",
    "The file ends too early, at {where}.": "Die Datei endet zu früh, bei {where}.",
    "The file is not JSON: {why} at {where}.": "Die Datei ist kein JSON: {why} bei {where}.",
    "Copy it again.": "Noch einmal kopieren.",
    "Copy it again, and wait until the copy has ended.": "Noch einmal kopieren und das Ende abwarten.",
    "It stays in the inbox and is looked at again when it changes.": (
        "Sie bleibt im Eingang und wird wieder angesehen, wenn sie sich ändert."
    ),
    "The file looks unfinished: {why}": "Die Datei wirkt unfertig: {why}",
    "The zip asks for a password.": "Das Zip verlangt ein Passwort.",
    "Send it without one.": "Ohne Passwort senden.",
    "The zip holds no files.": "Das Zip enthält keine Dateien.",
    "The zip is damaged: {why}.": "Das Zip ist beschädigt: {why}.",
    "The zip is made to fill the disk: {why}.": "Das Zip ist gemacht, um die Platte zu füllen: {why}.",
    "Send it in parts.": "In Teilen senden.",
    "Unpacked and taken: order {order}.": "Entpackt und angenommen: Auftrag {order}.",
    "The same again: order {order} was taken before.": (
        "Noch einmal dasselbe: Auftrag {order} ist schon angenommen."
    ),
    "Order {order} is in the books with other content: a person has to decide.": (
        "Auftrag {order} gibt es mit anderem Inhalt: das muss jemand entscheiden."
    ),
    "The order in it cannot be read; see the note beside it in refused/.": (
        "Der Auftrag darin ist nicht lesbar; siehe die Notiz daneben in refused/."
    ),
}
