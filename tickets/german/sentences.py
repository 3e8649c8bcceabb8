"""German for what is said outside of wording modules: the English sentence, with its places to fill in."""

from __future__ import annotations

SENTENCES = {
    # the pages themselves
    "There is no such page.": "Diese Seite gibt es nicht.",
    "Begin at the line.": "Bei der Fertigung beginnen.",
    "What was sent cannot be read.": "Das Gesandte ist nicht lesbar.",
    "What was sent cannot be read: {wrong}.": "Das Gesandte ist nicht lesbar: {wrong}.",
    "Load the page again.": "Die Seite neu laden.",
    "There is nothing at this address that takes {method}.": "Unter dieser Adresse geht {method} nicht.",
    "See /api/openapi.json.": "In /api/openapi.json nachsehen.",
    "Something went wrong that filmdocket was not built for: a fault in the program.": (
        "Etwas ist schiefgegangen, wofür filmdocket nicht gebaut ist: ein Fehler im Programm."
    ),
    "Nothing that was booked is lost. Try once more, and report it.": (
        "Nichts Gebuchtes ist verloren. Noch einmal versuchen und den Fehler melden."
    ),
    "More was sent than is taken here: the most is {most} MB.": (
        "Es wurde mehr gesandt, als hier angenommen wird: höchstens {most} MB."
    ),
    "Send a smaller file, or lay it into the inbox.": "Eine kleinere Datei senden oder in den Eingang legen.",
    "There is no act {act}.": "Die Handlung {act} gibt es nicht.",
    "Hold, release, cancel or change.": "Anhalten, freigeben, stornieren oder ändern.",
    "Drop, pin, free, take out or spoil.": (
        "Verwerfen, festhalten, loslassen, herausnehmen oder Ausschuss buchen."
    ),
    "There is no picture of {name}.": "Von {name} gibt es kein Bild.",
    "There is no such picture of {name}.": "Ein solches Bild von {name} gibt es nicht.",
    "Open the file itself.": "Die Datei selbst öffnen.",
    "The paper of {code} is not printed yet.": "Der Laufzettel {code} ist noch nicht erstellt.",
    "The paper of {code} is not made yet.": "Der Laufzettel {code} ist noch nicht erstellt.",
    "It is in a moment, when its artwork is accepted.": "Er kommt gleich, wenn das Motiv freigegeben ist.",
    "There is no message about {order}.": "Zu {order} gibt es keine Nachricht.",
    "It is written in a moment.": "Sie wird gleich geschrieben.",
    "{order} has no item {number}.": "{order} hat keine Position {number}.",
    "See the order's own page.": "Auf der Seite des Auftrags nachsehen.",
    "{file} is no longer in the outbox.": "{file} liegt nicht mehr im Ausgang.",
    "Look into a backup.": "In einer Sicherung nachsehen.",
    "There is no kind of message {kind}.": "Nachrichten der Art {kind} gibt es nicht.",
    "See the page Messages.": "Auf der Seite „Nachrichten“ nachsehen.",
    "The shop has no certificate of its own.": "Die Werkstatt hat kein eigenes Zertifikat.",
    "Run: filmdocket certificate": "Aufrufen: filmdocket certificate",
    # who may do what
    "This device ({name}) is let in for a station: it scans and sees.": (
        "Dieses Gerät ({name}) ist für eine Station zugelassen: es scannt und sieht."
    ),
    "Do it at the desk, or let this device in once more with: filmdocket device add --role desk": (
        "Im Büro machen, oder dieses Gerät noch einmal zulassen: filmdocket device add --role desk"
    ),
    "This device ({name}) is not an owner's.": "Dieses Gerät ({name}) ist keines des Inhabers.",
    "Do it on the owner's device.": "Am Gerät des Inhabers machen.",
    "This device is not let in.": "Dieses Gerät ist nicht zugelassen.",
    "Get a pairing code from the owner, or with: filmdocket device add": (
        "Einen Kopplungscode vom Inhaber holen, oder mit: filmdocket device add"
    ),
    "This change did not come from one of the shop's own pages.": (
        "Diese Änderung kam nicht von einer Seite dieser Werkstatt."
    ),
    "Load the page again and repeat it there.": "Die Seite neu laden und es dort wiederholen.",
    "Too many wrong codes were tried.": "Zu viele falsche Codes wurden versucht.",
    "Wait ten minutes, then try again.": "Zehn Minuten warten, dann noch einmal versuchen.",
    "This page was loaded too often just now.": "Diese Seite wurde gerade zu oft geladen.",
    "Wait a minute, then load it.": "Eine Minute warten, dann laden.",
    "There is no role {role}.": "Die Rolle {role} gibt es nicht.",
    "Roles: {roles}.": "Rollen: {roles}.",
    "This pairing code is wrong, was used already, or is too old.": (
        "Dieser Kopplungscode ist falsch, schon verwendet oder zu alt."
    ),
    "Show a new one: filmdocket device add": "Einen neuen zeigen lassen: filmdocket device add",
    "There is no device {number}.": "Ein Gerät {number} gibt es nicht.",
    "See the numbers with: filmdocket device list": "Die Nummern zeigt: filmdocket device list",
    "See: filmdocket people list": "Siehe die Seite „Personen“.",
    "Name the person as all do.": "Die Person so nennen, wie alle es tun.",
    "Add a letter of the surname.": "Einen Buchstaben des Nachnamens anfügen.",
    "Take the name out there.": "Den Namen dort herausnehmen.",
    # what is in the books
    "There is no ticket {code} in the books.": "Einen Laufzettel {code} gibt es nicht.",
    "Read the code once more, or look the order up with `filmdocket where`.": (
        "Den Code noch einmal lesen, oder den Auftrag unter „Wo ist es?“ suchen."
    ),
    "There is no order {order} in the books.": "Einen Auftrag {order} gibt es nicht.",
    "There is neither an order nor a ticket {name} in the books.": (
        "Weder einen Auftrag noch einen Laufzettel {name} gibt es."
    ),
    "Look it up with `filmdocket where` and any words that you know of it.": (
        "Unter „Wo ist es?“ suchen, mit irgendeinem Wort daraus."
    ),
    "No order stands as {standing}.": "Kein Auftrag steht als {standing}.",
    "No order stands as {standing}. Did you mean {near}?": (
        "Kein Auftrag steht als {standing}. Ist {near} gemeint?"
    ),
    "Ask for one of: {all}.": "Möglich sind: {all}.",
    "There is no film run {run} in the books.": "Einen Filmlauf {run} gibt es nicht.",
    "Read the code once more, or scan a ticket of it.": (
        "Den Code noch einmal lesen oder einen Laufzettel scannen."
    ),
    # the database
    "The database {where} was busy with another writer for too long.": (
        "Die Datenbank {where} war zu lange mit einem anderen Schreiber beschäftigt."
    ),
    "Try again; if it stays so, see which program holds it (a backup, a second intake).": (
        "Noch einmal versuchen; bleibt es so, nachsehen, welches Programm sie hält (Sicherung, "
        "zweite Annahme)."
    ),
    "There is no room left for the database {where}.": "Für die Datenbank {where} ist kein Platz mehr.",
    "Free some disk space and try again.": "Platz auf der Platte schaffen und noch einmal versuchen.",
    "The database {where} is damaged or is no database ({said}).": (
        "Die Datenbank {where} ist beschädigt oder keine Datenbank ({said})."
    ),
    "Stop everything that uses it and restore the last backup.": (
        "Alles anhalten, was sie benutzt, und die letzte Sicherung einspielen."
    ),
    "The database {where} can't be written ({said}).": (
        "In die Datenbank {where} lässt sich nicht schreiben ({said})."
    ),
    "Give the user that runs filmdocket the right to write it and its folder.": (
        "Dem Benutzer, unter dem filmdocket läuft, das Schreibrecht auf Datei und Ordner geben."
    ),
    "The database {where} can't be reached ({said}).": "Die Datenbank {where} ist nicht erreichbar ({said}).",
    "See that its disk or server is there, and that address, user and password are right.": (
        "Nachsehen, ob Platte oder Server da sind und ob Adresse, Benutzer und Passwort stimmen."
    ),
}
