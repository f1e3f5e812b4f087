"""Headings as contractors write them, by field and language: not taken from the tables of the reader.

Each text was written down as an engineer of the trade would put it over a column; some are sloppy on
purpose. `GROUPS` has headings that span columns, with what then stands below them.
"""

from __future__ import annotations

from typing import Final

LANGUAGES: Final = ("en", "de", "fr", "es", "pt", "it")

HEADINGS: Final[dict[str, dict[str, tuple[str, ...]]]] = {
    "tag": {
        "en": ("Tag", "TAG NO", "Inst. Tag No.", "Instrument Tag Number", "Tag #", "Gauge Tag"),
        "de": ("Messstelle", "PLT-Stelle", "MSR-Nr.", "Tag-Nummer", "Messstellen-Nr."),
        "fr": ("Repère", "N° Repère", "Repère instrument", "Tag"),
        "es": ("Etiqueta", "Nº de TAG", "Tag instrumento", "TAG"),
        "pt": ("TAG", "Tag do instrumento", "Identificação", "Nº TAG"),
        "it": ("Sigla", "Tag strumento", "Sigla strumento", "TAG"),
    },
    "service": {
        "en": ("Service", "Service Description", "Vessel / Service", "Equipment", "Location"),
        "de": ("Einsatzort", "Behälter", "Verwendung"),
        "fr": ("Service", "Emplacement", "Équipement"),
        "es": ("Servicio", "Equipo", "Descripción del servicio"),
        "pt": ("Serviço", "Equipamento", "Descrição do serviço"),
        "it": ("Servizio", "Apparecchiatura", "Descrizione servizio"),
    },
    "service_type": {
        "en": ("Level / Interface", "Level or Interface", "Measurement type", "Type of measurement"),
        "de": ("Füllstand / Trennschicht", "Messaufgabe", "Messart"),
        "fr": ("Niveau / Interface", "Type de mesure"),
        "es": ("Nivel / Interfase", "Tipo de medición"),
        "pt": ("Nível / Interface", "Tipo de medição"),
        "it": ("Livello / Interfaccia", "Tipo di misura"),
    },
    "fluid": {
        "en": ("Fluid", "Process Fluid", "Medium", "Liquid", "Fluid name", "Product", "Lower Liquid"),
        "de": ("Medium", "Messstoff", "Produkt", "Flüssigkeit"),
        "fr": ("Fluide", "Produit", "Nature du fluide"),
        "es": ("Fluido", "Producto", "Nombre del fluido"),
        "pt": ("Fluido", "Produto", "Nome do fluido"),
        "it": ("Fluido", "Prodotto", "Nome fluido"),
    },
    "serial": {
        "en": ("Serial No.", "Gauge S/N", "Gauge Serial Number", "Gauge Ser. No."),
        "de": ("Seriennummer", "Fabriknummer", "Serien-Nr. Gerät"),
        "fr": ("N° de série", "Numéro de série"),
        "es": ("Número de serie", "Nº de serie"),
        "pt": ("Número de série", "Nº de série"),
        "it": ("Matricola", "Numero di serie"),
    },
    "float_part": {
        "en": ("Float Part No.", "Float P/N", "Float Type", "Float Code", "Float model", "Float"),
        "de": ("Schwimmertyp", "Schwimmer-Nr.", "Schwimmer"),
        "fr": ("Réf. flotteur", "Type flotteur", "Flotteur"),
        "es": ("Flotador", "Tipo de flotador", "Código flotador"),
        "pt": ("Flutuador", "Tipo de flutuador", "Código do flutuador"),
        "it": ("Galleggiante", "Tipo galleggiante", "Codice galleggiante"),
    },
    "float_serial": {
        "en": ("Float Serial No.", "Float S/N", "Float Ser. Nr."),
        "de": ("Schwimmer Seriennummer", "Seriennummer Schwimmer"),
        "fr": ("N° de série flotteur", "Numéro de série du flotteur"),
        "es": ("Nº de serie flotador", "Número de serie del flotador"),
        "pt": ("Nº de série flutuador", "Número de série do flutuador"),
        "it": ("Matricola galleggiante", "N. di serie galleggiante"),
    },
    "float_gauge_serial": {
        "en": ("Gauge serial on float", "Float marked for gauge S/N", "Float for gauge serial no."),
        "de": ("Gerätenummer auf Schwimmer",),
        "fr": ("Flotteur pour appareil N° de série",),
        "es": ("Flotador para indicador número de serie",),
        "pt": ("Flutuador para indicador número de série",),
        "it": ("Galleggiante per indicatore numero di serie",),
    },
    "transmitter_gauge_serial": {
        "en": ("Gauge serial on transmitter", "Transmitter for gauge serial no."),
        "de": ("Gerätenummer auf Messumformer",),
        "fr": ("Transmetteur pour appareil N° de série",),
        "es": ("Transmisor para indicador número de serie",),
        "pt": ("Transmissor para indicador número de série",),
        "it": ("Trasmettitore per indicatore numero di serie",),
    },
    "fluid_density": {
        "en": (
            "Density", "Oper. Density", "Operating Density", "Liquid Density", "Fluid density @ oper. temp.",
            "Density at operating conditions", "Process Density", "Dens. (oper.)", "Lower fluid density",
        ),
        "de": ("Dichte", "Betriebsdichte", "Dichte im Betrieb", "Dichte Medium"),
        "fr": ("Masse volumique", "Densité en service", "Densité du liquide"),
        "es": ("Densidad", "Densidad de operación", "Densidad del líquido"),
        "pt": ("Densidade", "Massa específica", "Densidade de operação"),
        "it": ("Densità", "Densità di esercizio", "Massa volumica"),
    },
    "fluid_density_min": {
        "en": ("Min. Density", "Density min.", "Lowest density"),
        "de": ("Dichte min.", "Mindestdichte"),
        "fr": ("Densité mini", "Masse volumique min."),
        "es": ("Densidad mín.", "Densidad mínima"),
        "pt": ("Densidade mín.", "Densidade mínima"),
        "it": ("Densità min.", "Densità minima"),
    },
    "fluid_density_max": {
        "en": ("Max. Density", "Density max.", "Highest density"),
        "de": ("Dichte max.", "Maximale Dichte"),
        "fr": ("Densité maxi", "Masse volumique max."),
        "es": ("Densidad máx.", "Densidad máxima"),
        "pt": ("Densidade máx.", "Densidade máxima"),
        "it": ("Densità max.", "Densità massima"),
    },
    "upper_density": {
        "en": ("Vapour Density", "Vapor dens.", "Upper Fluid Density", "Gas phase density",
            "Density upper phase"),
        "de": ("Dichte Gasphase", "Dampfdichte", "Dichte obere Phase"),
        "fr": ("Masse volumique vapeur", "Densité phase gazeuse", "Densité phase supérieure"),
        "es": ("Densidad del vapor", "Densidad fase superior", "Densidad fase gas"),
        "pt": ("Densidade do vapor", "Densidade fase superior"),
        "it": ("Densità vapore", "Densità fase superiore"),
    },
    "operating_temperature": {
        "en": ("Oper. Temp.", "Operating Temperature", "Temp. (operating)", "Normal Temp.",
            "Working temperature"),
        "de": ("Betriebstemperatur", "Betriebstemp.", "Temperatur Betrieb"),
        "fr": ("Température de service", "Temp. service", "Temp. opératoire"),
        "es": ("Temp. de operación", "Temperatura de trabajo", "Temp. operación"),
        "pt": ("Temp. de operação", "Temperatura de operação"),
        "it": ("Temp. di esercizio", "Temperatura operativa", "Temp. esercizio"),
    },
    "operating_pressure": {
        "en": ("Oper. Press.", "Operating Pressure", "Press. (operating)", "Normal Press.",
            "Working pressure"),
        "de": ("Betriebsdruck", "Druck Betrieb", "Arbeitsdruck"),
        "fr": ("Pression de service", "Pression opératoire", "Press. service"),
        "es": ("Presión de operación", "Presión de trabajo", "Presión operación"),
        "pt": ("Pressão de operação", "Pressão de trabalho", "Pressão operação"),
        "it": ("Pressione di esercizio", "Pressione operativa", "Press. esercizio"),
    },
    "design_temperature": {
        "en": ("Des. Temp.", "Design Temperature", "Temp. (design)", "Max. design temp."),
        "de": ("Auslegungstemperatur", "Zul. Temperatur", "Temperatur Auslegung"),
        "fr": ("Température de calcul", "Temp. calcul", "Temp. de conception"),
        "es": ("Temp. de diseño", "Temperatura de diseño", "Temp. diseño"),
        "pt": ("Temp. de projeto", "Temperatura de projeto"),
        "it": ("Temp. di progetto", "Temperatura di progetto", "Temp. progetto"),
    },
    "design_pressure": {
        "en": ("Des. Press.", "Design Pressure", "Press. (design)", "MAWP", "DP"),
        "de": ("Auslegungsdruck", "Zul. Druck", "Druck Auslegung"),
        "fr": ("Pression de calcul", "Pression de conception", "Press. calcul"),
        "es": ("Presión de diseño", "Presión diseño"),
        "pt": ("Pressão de projeto", "Pressão projeto"),
        "it": ("Pressione di progetto", "Press. progetto"),
    },
    "test_pressure": {
        "en": ("Test Press.", "Hydrotest Pressure", "Hydro test press."),
        "de": ("Prüfdruck", "Probedruck"),
        "fr": ("Pression d'épreuve", "Press. d'essai"),
        "es": ("Presión de prueba",),
        "pt": ("Pressão de teste",),
        "it": ("Pressione di prova", "Pressione di collaudo"),
    },
    "viscosity": {
        "en": ("Viscosity", "Visc.", "Oper. Viscosity", "Dyn. viscosity", "Viscosity @ oper. temp."),
        "de": ("Viskosität", "Dyn. Viskosität", "Betriebsviskosität"),
        "fr": ("Viscosité", "Viscosité dynamique"),
        "es": ("Viscosidad", "Viscosidad dinámica"),
        "pt": ("Viscosidade", "Viscosidade dinâmica"),
        "it": ("Viscosità", "Viscosità dinamica"),
    },
    "level_rate": {
        "en": ("Rate of level change", "Level rate", "Max. level change rate"),
        "de": ("Füllstandsänderung", "Änderungsgeschwindigkeit Füllstand"),
        "fr": ("Vitesse de variation du niveau",),
        "es": ("Velocidad de cambio de nivel",),
        "pt": ("Velocidade de variação do nível",),
        "it": ("Velocità di variazione del livello",),
    },
    "pour_point": {
        "en": ("Pour Point", "Pour pt."),
        "de": ("Pourpoint", "Stockpunkt"),
        "fr": ("Point d'écoulement",),
        "es": ("Punto de fluidez",),
        "pt": ("Ponto de fluidez",),
        "it": ("Punto di scorrimento",),
    },
    "freezing_point": {
        "en": ("Freezing Point", "Freeze pt.", "Melting point", "Solidification point"),
        "de": ("Gefrierpunkt", "Erstarrungspunkt"),
        "fr": ("Point de congélation", "Point de solidification"),
        "es": ("Punto de congelación",),
        "pt": ("Ponto de congelamento",),
        "it": ("Punto di congelamento",),
    },
    "minimum_ambient": {
        "en": ("Min. Ambient Temp.", "Ambient temp. min", "Minimum ambient", "Lowest ambient temperature"),
        "de": ("Umgebungstemp. min.", "Min. Umgebungstemperatur"),
        "fr": ("Temp. ambiante mini", "Température ambiante min."),
        "es": ("Temp. ambiente mínima", "Temperatura ambiente mín."),
        "pt": ("Temp. ambiente mínima", "Temperatura ambiente mín."),
        "it": ("Temp. ambiente minima", "Temperatura ambiente min."),
    },
    "float_mass": {
        "en": ("Float Weight", "Float mass", "Wt. of float", "Float wt."),
        "de": ("Schwimmergewicht", "Schwimmermasse", "Gewicht Schwimmer"),
        "fr": ("Poids flotteur", "Masse du flotteur"),
        "es": ("Peso del flotador", "Peso flotador"),
        "pt": ("Peso do flutuador", "Massa do flutuador"),
        "it": ("Peso galleggiante", "Massa galleggiante"),
    },
    "float_diameter": {
        "en": ("Float OD", "Float Dia.", "Float diameter", "Float outside dia."),
        "de": ("Schwimmerdurchmesser", "Durchmesser Schwimmer", "Schwimmer Ø"),
        "fr": ("Diamètre flotteur", "Ø flotteur"),
        "es": ("Diámetro flotador", "Diámetro del flotador"),
        "pt": ("Diâmetro do flutuador",),
        "it": ("Diametro galleggiante", "Ø galleggiante"),
    },
    "float_length": {
        "en": ("Float Length", "Float OAL", "Overall length of float", "Float height"),
        "de": ("Schwimmerlänge", "Länge Schwimmer"),
        "fr": ("Longueur flotteur", "Longueur du flotteur"),
        "es": ("Longitud flotador", "Longitud del flotador"),
        "pt": ("Comprimento do flutuador",),
        "it": ("Lunghezza galleggiante",),
    },
    "float_ends": {
        "en": ("Float Ends", "Shape of float ends", "Float end caps"),
        "de": ("Schwimmerböden", "Bodenform Schwimmer"),
        "fr": ("Fonds du flotteur",),
        "es": ("Extremos del flotador",),
        "pt": ("Extremidades do flutuador",),
        "it": ("Fondi galleggiante",),
    },
    "magnet_height": {
        "en": ("Magnet Height", "Magnet position", "Magnet above float bottom",
            "Magnet pos. from bottom of float"),
        "de": ("Magnethöhe", "Magnetlage", "Magnetposition"),
        "fr": ("Hauteur de l'aimant", "Position aimant"),
        "es": ("Altura del imán", "Posición del imán"),
        "pt": ("Altura do ímã", "Posição do ímã"),
        "it": ("Altezza magnete", "Posizione magnete"),
    },
    "float_design_density": {
        "en": ("Float Design Density", "Float SG", "Density float is made for", "Float rated density"),
        "de": ("Schwimmer für Dichte", "Auslegungsdichte Schwimmer"),
        "fr": ("Densité nominale flotteur", "Flotteur pour densité"),
        "es": ("Densidad de diseño flotador",),
        "pt": ("Densidade de projeto flutuador",),
        "it": ("Densità di progetto galleggiante",),
    },
    "float_max_pressure": {
        "en": ("Float Max. Press.", "Float pressure rating", "Max. pressure of float"),
        "de": ("Schwimmer max. Druck", "Max. Druck Schwimmer"),
        "fr": ("Pression max flotteur", "Pression maxi du flotteur"),
        "es": ("Presión máx. flotador",),
        "pt": ("Pressão máx. flutuador",),
        "it": ("Pressione max galleggiante",),
    },
    "float_max_temperature": {
        "en": ("Float Max. Temp.", "Float temperature rating", "Max. temp. of float"),
        "de": ("Schwimmer max. Temperatur", "Max. Temperatur Schwimmer"),
        "fr": ("Température max flotteur", "Temp. maxi du flotteur"),
        "es": ("Temp. máx. flotador",),
        "pt": ("Temp. máx. flutuador",),
        "it": ("Temp. max galleggiante",),
    },
    "float_service": {
        "en": ("Float Service", "Float duty", "Float for level / interface"),
        "de": ("Schwimmer Einsatz",),
        "fr": ("Service du flotteur", "Usage flotteur"),
        "es": ("Servicio del flotador",),
        "pt": ("Serviço do flutuador",),
        "it": ("Servizio galleggiante",),
    },
    "float_wall": {
        "en": ("Float Wall Thk.", "Float shell thickness", "Float wall"),
        "de": ("Schwimmer Wandstärke", "Wanddicke Schwimmer"),
        "fr": ("Épaisseur de paroi flotteur",),
        "es": ("Espesor de pared flotador",),
        "pt": ("Espessura da parede do flutuador",),
        "it": ("Spessore parete galleggiante",),
    },
    "float_material": {
        "en": ("Float Material", "Float MOC", "Float Matl."),
        "de": ("Schwimmerwerkstoff", "Werkstoff Schwimmer"),
        "fr": ("Matière flotteur", "Matériau du flotteur"),
        "es": ("Material flotador",),
        "pt": ("Material do flutuador",),
        "it": ("Materiale galleggiante",),
    },
    "magnet_material": {
        "en": ("Magnet Material", "Magnet matl."),
        "de": ("Magnetwerkstoff",),
        "fr": ("Matériau aimant",),
        "es": ("Material del imán",),
        "pt": ("Material do ímã",),
        "it": ("Materiale magnete",),
    },
    "magnet_max_temperature": {
        "en": ("Magnet Max. Temp.", "Magnet temperature limit"),
        "de": ("Magnet max. Temperatur",),
        "fr": ("Temp. max aimant",),
        "es": ("Temp. máx. imán",),
        "pt": ("Temp. máx. ímã",),
        "it": ("Temp. max magnete",),
    },
    "chamber_bore": {
        "en": ("Chamber Bore", "Chamber ID", "Chamber inside dia.", "Standpipe ID"),
        "de": ("Standrohr Innendurchmesser", "Kammer Innen-Ø", "Bypassrohr Innendurchmesser"),
        "fr": ("Diamètre intérieur chambre",),
        "es": ("Diámetro interior cámara",),
        "pt": ("Diâmetro interno câmara",),
        "it": ("Diametro interno camera",),
    },
    "chamber_diameter": {
        "en": ("Chamber OD", "Chamber outside dia.", "Standpipe OD"),
        "de": ("Standrohr Außendurchmesser", "Kammer Außendurchmesser"),
        "fr": ("Diamètre extérieur chambre",),
        "es": ("Diámetro exterior cámara",),
        "pt": ("Diâmetro externo câmara",),
        "it": ("Diametro esterno camera",),
    },
    "chamber_material": {
        "en": ("Chamber Material", "Chamber MOC", "Chamber Matl.", "Body material"),
        "de": ("Werkstoff Standrohr", "Kammerwerkstoff"),
        "fr": ("Matière chambre", "Matériau chambre"),
        "es": ("Material cámara", "Material de la cámara"),
        "pt": ("Material da câmara",),
        "it": ("Materiale camera",),
    },
    "flange_class": {
        "en": ("Flange Class", "Flange Rating", "Flg. rating", "Conn. rating"),
        "de": ("Flanschklasse", "Flansch Druckstufe"),
        "fr": ("Classe bride", "Classe de bride"),
        "es": ("Clase de brida", "Rating brida"),
        "pt": ("Classe do flange",),
        "it": ("Classe flangia", "Rating flangia"),
    },
    "material_group": {
        "en": ("B16.5 Material Group", "Flange material group", "Material group"),
        "de": ("Werkstoffgruppe",),
        "fr": ("Groupe de matériau",),
        "es": ("Grupo de material",),
        "pt": ("Grupo de material",),
        "it": ("Gruppo di materiale",),
    },
    "connection_arrangement": {
        "en": ("Connection arrangement", "Mounting", "Conn. orientation"),
        "de": ("Einbauart", "Anordnung der Anschlüsse"),
        "fr": ("Montage", "Disposition des piquages"),
        "es": ("Montaje",),
        "pt": ("Montagem",),
        "it": ("Montaggio",),
    },
    "connection_distance": {
        "en": ("C/C", "C-C Distance", "Centre to Centre", "Center-to-Center", "CTC dist.",
            "Nozzle to nozzle dist."),
        "de": ("Mittenabstand", "Stutzenabstand", "Anschlussabstand"),
        "fr": ("Entraxe", "Entraxe piquages"),
        "es": ("Distancia entre centros", "Dist. entre conexiones"),
        "pt": ("Distância entre centros", "Dist. entre conexões"),
        "it": ("Interasse", "Interasse attacchi"),
    },
    "visible_range": {
        "en": ("Visible Range", "Visible Length", "Indicating range", "Visible indication",
            "Indication length"),
        "de": ("Sichtbereich", "Anzeigebereich", "Sichtlänge"),
        "fr": ("Longueur visible", "Plage visible"),
        "es": ("Rango visible", "Longitud visible"),
        "pt": ("Faixa visível", "Comprimento visível"),
        "it": ("Campo visibile", "Lunghezza visibile"),
    },
    "scale_zero": {
        "en": ("Scale zero", "Zero of scale above bottom connection"),
        "de": ("Skalennullpunkt",),
        "fr": ("Zéro de l'échelle",),
        "es": ("Cero de escala",),
        "pt": ("Zero da escala",),
        "it": ("Zero scala",),
    },
    "lrv": {
        "en": ("LRV", "4 mA", "Level @ 4 mA", "Lower Range Value", "Transmitter LRV", "Cal. range low"),
        "de": ("Messanfang", "Messbereichsanfang", "4 mA bei"),
        "fr": ("Début d'échelle", "Niveau à 4 mA"),
        "es": ("Valor inferior de rango", "Nivel a 4 mA"),
        "pt": ("Valor inferior da faixa", "Nível a 4 mA"),
        "it": ("Inizio scala", "Livello a 4 mA"),
    },
    "urv": {
        "en": ("URV", "20 mA", "Level @ 20 mA", "Upper Range Value", "Transmitter URV", "Cal. range high"),
        "de": ("Messende", "Messbereichsende", "20 mA bei"),
        "fr": ("Fin d'échelle", "Niveau à 20 mA"),
        "es": ("Valor superior de rango", "Nivel a 20 mA"),
        "pt": ("Valor superior da faixa", "Nível a 20 mA"),
        "it": ("Fondo scala", "Livello a 20 mA"),
    },
    "action": {
        "en": ("Action", "Direct / Reverse", "Transmitter action"),
        "de": ("Wirkrichtung",),
        "fr": ("Sens d'action",),
        "es": ("Acción",),
        "pt": ("Ação",),
        "it": ("Azione",),
    },
    "stated_level": {
        "en": ("Indicated Level", "Level reading", "Test level", "Gauge reading"),
        "de": ("Ablesung", "Angezeigter Füllstand"),
        "fr": ("Niveau indiqué", "Niveau lu"),
        "es": ("Nivel indicado", "Nivel leído"),
        "pt": ("Nível indicado", "Nível lido"),
        "it": ("Livello indicato", "Livello letto"),
    },
    "stated_current": {
        "en": ("Loop Current", "Measured current", "Current", "Output current", "Signal current"),
        "de": ("Schleifenstrom", "Ausgangsstrom", "Strom"),
        "fr": ("Courant de boucle", "Courant de sortie"),
        "es": ("Corriente de lazo", "Corriente de salida"),
        "pt": ("Corrente de malha", "Corrente de saída"),
        "it": ("Corrente di loop", "Corrente di uscita"),
    },
    "switch_lsll": {
        "en": ("LSLL", "LSLL set point", "Low low trip", "Switch LSLL"),
        "de": ("Schaltpunkt LSLL", "Grenzwert tief-tief"),
        "fr": ("Seuil LSLL", "Seuil très bas"),
        "es": ("Punto de consigna LSLL",),
        "pt": ("Ponto de ajuste LSLL",),
        "it": ("Soglia LSLL",),
    },
    "switch_lsl": {
        "en": ("LSL", "LSL set point", "Low alarm", "Switch LSL"),
        "de": ("Schaltpunkt LSL", "Grenzwert tief"),
        "fr": ("Seuil LSL", "Seuil bas"),
        "es": ("Punto de consigna LSL",),
        "pt": ("Ponto de ajuste LSL",),
        "it": ("Soglia LSL",),
    },
    "switch_lsh": {
        "en": ("LSH", "LSH set point", "High alarm", "Switch LSH"),
        "de": ("Schaltpunkt LSH", "Grenzwert hoch"),
        "fr": ("Seuil LSH", "Seuil haut"),
        "es": ("Punto de consigna LSH",),
        "pt": ("Ponto de ajuste LSH",),
        "it": ("Soglia LSH",),
    },
    "switch_lshh": {
        "en": ("LSHH", "LSHH set point", "High high trip", "Switch LSHH"),
        "de": ("Schaltpunkt LSHH", "Grenzwert hoch-hoch"),
        "fr": ("Seuil LSHH", "Seuil très haut"),
        "es": ("Punto de consigna LSHH",),
        "pt": ("Ponto de ajuste LSHH",),
        "it": ("Soglia LSHH",),
    },
    "tracing": {
        "en": ("Heat Tracing", "Heat traced (Y/N)", "Tracing", "Winterization"),
        "de": ("Begleitheizung", "Beheizung"),
        "fr": ("Traçage", "Traçage thermique"),
        "es": ("Traceado", "Trazado térmico"),
        "pt": ("Traçado térmico", "Aquecimento"),
        "it": ("Tracciatura", "Tracciamento"),
    },
    "tracer_output": {
        "en": ("Tracer Output", "Heat trace power", "Installed tracing output"),
        "de": ("Heizleistung", "Leistung Begleitheizung"),
        "fr": ("Puissance de traçage",),
        "es": ("Potencia del traceado",),
        "pt": ("Potência do traçado",),
        "it": ("Potenza tracciatura",),
    },
    "maintain_temperature": {
        "en": ("Maintain Temp.", "Maintenance temp. (tracing)", "Hold temperature"),
        "de": ("Haltetemperatur",),
        "fr": ("Température de maintien",),
        "es": ("Temperatura de mantenimiento",),
        "pt": ("Temperatura de manutenção",),
        "it": ("Temperatura di mantenimento",),
    },
    "sheath_temperature": {
        "en": ("Sheath Temp.", "Max. sheath temp.", "Tracer sheath temperature"),
        "de": ("Manteltemperatur",),
        "fr": ("Température de gaine",),
        "es": ("Temperatura de cubierta",),
        "pt": ("Temperatura da capa",),
        "it": ("Temperatura guaina",),
    },
    "temperature_class": {
        "en": ("T-Class", "Temperature class", "Temp. Class", "T code"),
        "de": ("Temperaturklasse",),
        "fr": ("Classe de température",),
        "es": ("Clase de temperatura",),
        "pt": ("Classe de temperatura",),
        "it": ("Classe di temperatura",),
    },
    "transmitter_max_temperature": {
        "en": ("Transmitter Max. Temp.", "Max. temp. of transmitter"),
        "de": ("Messumformer max. Temperatur",),
        "fr": ("Temp. max transmetteur",),
        "es": ("Temp. máx. transmisor",),
        "pt": ("Temp. máx. transmissor",),
        "it": ("Temp. max trasmettitore",),
    },
    "insulation_thickness": {
        "en": ("Insulation Thk.", "Insulation thickness", "Lagging thk."),
        "de": ("Dämmdicke", "Isolierdicke"),
        "fr": ("Épaisseur calorifuge", "Épaisseur isolant"),
        "es": ("Espesor de aislamiento",),
        "pt": ("Espessura do isolamento",),
        "it": ("Spessore isolamento", "Spessore coibentazione"),
    },
    "remarks": {
        "en": ("Remarks", "Comments", "Notes"),
        "de": ("Bemerkungen", "Anmerkung"),
        "fr": ("Observations", "Remarques"),
        "es": ("Observaciones", "Comentarios"),
        "pt": ("Observações",),
        "it": ("Note e osservazioni", "Osservazioni"),
    },
    "instrument_type": {
        "en": ("Type", "Instrument Type", "Instrument Description"),
        "de": ("Geräteart", "Bauart"),
        "fr": ("Type d'instrument", "Type d'appareil"),
        "es": ("Tipo de instrumento",),
        "pt": ("Tipo de instrumento",),
        "it": ("Tipo strumento",),
    },
    "old_tag": {
        "en": ("Old Tag No.", "Previous tag", "Existing Tag (old)"),
        "de": ("Alte Messstelle", "Bisherige Tag-Nr."),
        "fr": ("Ancien repère",),
        "es": ("Tag anterior",),
        "pt": ("Tag antigo",),
        "it": ("Vecchia sigla",),
    },
    "tag_area": {
        "en": ("Tag prefix", "Area prefix"),
        "de": ("Messstelle Präfix",),
        "fr": ("Préfixe repère",),
        "es": ("Prefijo tag",),
        "pt": ("Prefixo tag",),
        "it": ("Prefisso sigla",),
    },
    "tag_letters": {
        "en": ("Function letters", "ISA letters", "Function code"),
        "de": ("Funktionsbuchstaben", "Kennbuchstaben"),
        "fr": ("Lettres fonction", "Code fonction"),
        "es": ("Letras de función", "Código de función"),
        "pt": ("Letras de função",),
        "it": ("Lettere funzione",),
    },
    "tag_number": {
        "en": ("Loop No.", "Loop number", "Sequence No."),
        "de": ("Loop-Nr.", "Kreisnummer"),
        "fr": ("N° boucle", "Numéro de boucle"),
        "es": ("Número de lazo",),
        "pt": ("Número da malha",),
        "it": ("Numero loop",),
    },
    "area": {
        "en": ("Area", "Unit", "Plant area"),
        "de": ("Bereich", "Anlagenteil"),
        "fr": ("Zone", "Unité"),
        "es": ("Área", "Unidad"),
        "pt": ("Área", "Unidade"),
        "it": ("Area", "Unità"),
    },
}  # fmt: skip

LIST_HEADINGS: Final[dict[str, dict[str, tuple[str, ...]]]] = {
    "float_part": {
        "en": ("Part No.", "P/N", "Float Type", "Item Code", "Float"),
        "de": ("Teile-Nr.", "Artikelnummer", "Schwimmertyp"),
        "fr": ("Référence", "Réf."),
        "es": ("Referencia", "Código"),
        "pt": ("Referência", "Código"),
        "it": ("Codice", "Riferimento"),
    },
    "float_mass": {
        "en": ("Weight", "Mass", "Wt."), "de": ("Gewicht", "Masse"), "fr": ("Poids", "Masse"),
        "es": ("Peso",), "pt": ("Peso", "Massa"), "it": ("Peso", "Massa"),
    },
    "float_diameter": {
        "en": ("OD", "Dia.", "Diameter"), "de": ("Durchmesser", "Ø"), "fr": ("Diamètre",),
        "es": ("Diámetro",), "pt": ("Diâmetro",), "it": ("Diametro",),
    },
    "float_length": {
        "en": ("Length", "OAL", "Overall Length"), "de": ("Länge", "Gesamtlänge"), "fr": ("Longueur",),
        "es": ("Longitud",), "pt": ("Comprimento",), "it": ("Lunghezza",),
    },
    "float_design_density": {
        "en": ("For SG", "Design Density", "Rated density"), "de": ("Für Dichte", "Nenndichte"),
        "fr": ("Densité nominale", "Pour densité"), "es": ("Densidad nominal",), "pt": ("Densidade nominal",),
        "it": ("Densità nominale",),
    },
    "float_max_pressure": {
        "en": ("Max. Press.", "Pressure Rating"), "de": ("Max. Druck",), "fr": ("Pression max",),
        "es": ("Presión máx.",), "pt": ("Pressão máx.",), "it": ("Pressione max",),
    },
    "float_max_temperature": {
        "en": ("Max. Temp.", "Temp. Rating"), "de": ("Max. Temperatur",), "fr": ("Température max",),
        "es": ("Temp. máx.",), "pt": ("Temp. máx.",), "it": ("Temperatura max",),
    },
    "float_material": {
        "en": ("Material", "MOC"), "de": ("Werkstoff",), "fr": ("Matière",), "es": ("Material",),
        "pt": ("Material",), "it": ("Materiale",),
    },
    "float_wall": {
        "en": ("Wall Thk.", "Shell thickness"), "de": ("Wandstärke",), "fr": ("Épaisseur de paroi",),
        "es": ("Espesor de pared",), "pt": ("Espessura da parede",), "it": ("Spessore parete",),
    },
    "float_ends": {
        "en": ("Ends", "End caps"), "de": ("Bodenform",), "fr": ("Fonds",), "es": ("Extremos",),
        "pt": ("Extremidades",), "it": ("Fondi",),
    },
    "float_service": {
        "en": ("Service", "Duty"), "de": ("Einsatz",), "fr": ("Usage",), "es": ("Uso",), "pt": ("Uso",),
        "it": ("Uso",),
    },
}  # fmt: skip
"""What stands over the columns of a float list, where 'float' goes without saying."""

GROUPS: Final[tuple[dict[str, tuple[str, dict[str, str]]], ...]] = (
    {
        "en": ("Operating", {
            "operating_pressure": "Press.", "operating_temperature": "Temp.", "fluid_density": "Density",
            "viscosity": "Viscosity",
        }),
        "de": ("Betrieb", {
            "operating_pressure": "Druck", "operating_temperature": "Temperatur", "fluid_density": "Dichte",
            "viscosity": "Viskosität",
        }),
        "fr": ("Service", {
            "operating_pressure": "Pression", "operating_temperature": "Température",
        }),
        "es": ("Operación", {
            "operating_pressure": "Presión", "operating_temperature": "Temperatura",
                "fluid_density": "Densidad",
        }),
        "pt": ("Operação", {
            "operating_pressure": "Pressão", "operating_temperature": "Temperatura",
            "fluid_density": "Densidade",
        }),
        "it": ("Esercizio", {
            "operating_pressure": "Pressione", "operating_temperature": "Temperatura",
            "fluid_density": "Densità",
        }),
    },
    {
        "en": ("Design", {"design_pressure": "Press.", "design_temperature": "Temp."}),
        "de": ("Auslegung", {"design_pressure": "Druck", "design_temperature": "Temperatur"}),
        "fr": ("Calcul", {"design_pressure": "Pression", "design_temperature": "Température"}),
        "es": ("Diseño", {"design_pressure": "Presión", "design_temperature": "Temperatura"}),
        "pt": ("Projeto", {"design_pressure": "Pressão", "design_temperature": "Temperatura"}),
        "it": ("Progetto", {"design_pressure": "Pressione", "design_temperature": "Temperatura"}),
    },
    {
        "en": ("Float", {
            "float_part": "Part No.", "float_serial": "Serial No.", "float_mass": "Weight",
                "float_diameter": "OD",
            "float_length": "Length", "float_material": "Material", "float_max_pressure": "Max. Press.",
            "float_max_temperature": "Max. Temp.",
        }),
        "de": ("Schwimmer", {
            "float_part": "Typ", "float_serial": "Seriennummer", "float_mass": "Gewicht",
            "float_diameter": "Durchmesser", "float_length": "Länge", "float_material": "Werkstoff",
            "float_max_pressure": "max. Druck", "float_max_temperature": "max. Temperatur",
        }),
        "fr": ("Flotteur", {
            "float_mass": "Poids", "float_diameter": "Diamètre", "float_length": "Longueur",
            "float_material": "Matière", "float_max_pressure": "Pression max",
        }),
        "es": ("Flotador", {
            "float_mass": "Peso", "float_diameter": "Diámetro", "float_length": "Longitud",
            "float_material": "Material", "float_max_pressure": "Presión máx.",
        }),
        "pt": ("Flutuador", {
            "float_mass": "Peso", "float_diameter": "Diâmetro", "float_length": "Comprimento",
            "float_material": "Material", "float_max_pressure": "Pressão máx.",
        }),
        "it": ("Galleggiante", {
            "float_mass": "Peso", "float_diameter": "Diametro", "float_length": "Lunghezza",
            "float_material": "Materiale", "float_max_pressure": "Pressione max",
        }),
    },
    {
        "en": ("Transmitter", {"lrv": "LRV", "urv": "URV"}),
        "de": ("Messumformer", {"lrv": "Messanfang", "urv": "Messende"}),
        "fr": ("Transmetteur", {"lrv": "Début d'échelle", "urv": "Fin d'échelle"}),
        "es": ("Transmisor", {"lrv": "4 mA", "urv": "20 mA"}),
        "pt": ("Transmissor", {"lrv": "4 mA", "urv": "20 mA"}),
        "it": ("Trasmettitore", {"lrv": "Inizio scala", "urv": "Fondo scala"}),
    },
    {
        "en": ("Switch set points", {
            "switch_lsll": "LSLL", "switch_lsl": "LSL", "switch_lsh": "LSH", "switch_lshh": "LSHH",
        }),
        "de": ("Schaltpunkte", {
            "switch_lsll": "LSLL", "switch_lsl": "LSL", "switch_lsh": "LSH", "switch_lshh": "LSHH",
        }),
        "fr": ("Seuils", {
            "switch_lsll": "LSLL", "switch_lsl": "LSL", "switch_lsh": "LSH", "switch_lshh": "LSHH",
        }),
        "es": ("Puntos de consigna", {
            "switch_lsll": "LSLL", "switch_lsl": "LSL", "switch_lsh": "LSH", "switch_lshh": "LSHH",
        }),
        "pt": ("Pontos de ajuste", {
            "switch_lsll": "LSLL", "switch_lsl": "LSL", "switch_lsh": "LSH", "switch_lshh": "LSHH",
        }),
        "it": ("Soglie", {
            "switch_lsll": "LSLL", "switch_lsl": "LSL", "switch_lsh": "LSH", "switch_lshh": "LSHH",
        }),
    },
    {
        "en": ("Chamber", {
            "chamber_bore": "ID", "chamber_diameter": "OD", "chamber_material": "Material",
        }),
        "de": ("Standrohr", {
            "chamber_bore": "Innendurchmesser", "chamber_diameter": "Außendurchmesser",
            "chamber_material": "Werkstoff",
        }),
        "fr": ("Chambre", {"chamber_bore": "Diamètre intérieur", "chamber_material": "Matière"}),
        "es": ("Cámara", {"chamber_bore": "Diámetro interior", "chamber_material": "Material"}),
        "pt": ("Câmara", {"chamber_bore": "Diâmetro interno", "chamber_material": "Material"}),
        "it": ("Camera", {"chamber_bore": "Diametro interno", "chamber_material": "Materiale"}),
    },
)  # fmt: skip
"""By language: a heading that spans columns, and what stands below it."""

GENERAL_GROUP: Final = {
    "en": "Process Data", "de": "Prozessdaten", "fr": "Données procédé", "es": "Datos de proceso",
    "pt": "Dados de processo", "it": "Dati di processo",
}  # fmt: skip
"""Above a group, where headings have three rows."""

IRRELEVANT: Final[dict[str, tuple[tuple[str, tuple[str | float, ...]], ...]]] = {
    "en": (
        ("Item", (1.0, 2.0, 3.0)),
        ("P&ID No.", ("PID-100-01", "PID-100-02")),
        ("Line No.", ("2\"-P-1001-A1", "3\"-P-1002-A1")),
        ("Supplier", ("Supplier A", "Supplier B")),
        ("Model No.", ("MG-40", "MG-41")),
        ("Unit Price", (1240.0, 1310.0)),
        ("Qty", (1.0,)),
        ("Delivery", ("12 weeks",)),
        ("Rev.", (0.0, 1.0, "A")),
        ("Data sheet No.", ("DS-LG-001", "DS-LG-002")),
        ("Nozzle size", ("2\"", "1 1/2\"")),
        ("Flange facing", ("RF", "RTJ")),
        ("Differential pressure (mbar)", (120.0, 250.0)),
        ("Area classification", ("Zone 1", "Zone 2")),
        ("Vessel diameter (mm)", (2400.0, 3000.0)),
        ("Mol. Wt.", (18.02, 58.1)),
        ("Vapour pressure (bara)", (0.2, 0.5)),
        ("Junction box", ("JB-101",)),
        ("Signal", ("4-20 mA HART",)),
        ("NLL (mm)", (1500.0, 1800.0)),
        ("Corrosion allowance (mm)", (3.0, 1.5)),
        ("LT", (150.0, 200.0)),
    ),
    "de": (
        ("Lfd. Nr.", (1.0, 2.0, 3.0)),
        ("RI-Fließbild", ("RI-100-01", "RI-100-02")),
        ("Rohrleitung", ("DN50-P-1001",)),
        ("Lieferant", ("Lieferant A", "Lieferant B")),
        ("Preis (EUR)", (1240.0, 1310.0)),
        ("Anzahl", (1.0,)),
        ("Revision", ("A", "B")),
        ("Nennweite", ("DN 50", "DN 40")),
        ("Differenzdruck (mbar)", (120.0, 250.0)),
        ("Ex-Zone", ("Zone 1", "Zone 2")),
        ("Dampfdruck (bara)", (0.2, 0.5)),
    ),
    "fr": (
        ("Numéro", (1.0, 2.0, 3.0)),
        ("Schéma PID", ("PID-100-01",)),
        ("Ligne", ("2\"-P-1001-A1",)),
        ("Fournisseur", ("Fournisseur A", "Fournisseur B")),
        ("Prix", (1240.0, 1310.0)),
        ("Quantité", (1.0,)),
        ("Rév.", ("A", "B")),
        ("Pression différentielle (mbar)", (120.0,)),
        ("Zone ATEX", ("Zone 1", "Zone 2")),
        ("Pression de vapeur (bara)", (0.2, 0.5)),
    ),
    "es": (
        ("Nº", (1.0, 2.0, 3.0)),
        ("P&ID", ("PID-100-01",)),
        ("Línea", ("2\"-P-1001-A1",)),
        ("Proveedor", ("Proveedor A", "Proveedor B")),
        ("Precio", (1240.0, 1310.0)),
        ("Cantidad", (1.0,)),
        ("Rev.", ("A", "B")),
        ("Presión de vapor (bara)", (0.2, 0.5)),
    ),
    "pt": (
        ("Item", (1.0, 2.0, 3.0)),
        ("Fluxograma P&ID", ("PID-100-01",)),
        ("Linha", ("2\"-P-1001-A1",)),
        ("Fornecedor", ("Fornecedor A", "Fornecedor B")),
        ("Preço", (1240.0, 1310.0)),
        ("Quantidade", (1.0,)),
        ("Rev.", ("A", "B")),
    ),
    "it": (
        ("Pos.", (1.0, 2.0, 3.0)),
        ("P&ID", ("PID-100-01",)),
        ("Linea", ("2\"-P-1001-A1",)),
        ("Fornitore", ("Fornitore A", "Fornitore B")),
        ("Prezzo", (1240.0, 1310.0)),
        ("Quantità", (1.0,)),
        ("Rev.", ("A", "B")),
        ("Tensione di vapore (bara)", (0.2, 0.5)),
    ),
}  # fmt: skip
"""Columns that no audit of float gauges needs, with what stands in them."""

TITLES: Final = {
    "en": ("LEVEL GAUGE SCHEDULE", "Instrument Index - Level Gauges", "Magnetic Level Gauge Data"),
    "de": ("Messstellenliste Füllstand", "Liste der Magnetstandanzeiger"),
    "fr": ("Liste des indicateurs de niveau", "Index des instruments"),
    "es": ("Lista de indicadores de nivel", "Índice de instrumentos"),
    "pt": ("Lista de indicadores de nível", "Índice de instrumentos"),
    "it": ("Elenco indicatori di livello", "Indice strumenti"),
}  # fmt: skip

TITLE_LINES: Final = (
    "Project: 0000 (invented)", "Client: Example Works", "Document No.: EX-LST-001", "Rev. 2",
        "Date: 12-03-2021",
    "Prepared: A.B.", "Checked: C.D.", "Approved: E.F.", "Page 1 of 3", "FOR INQUIRY",
)  # fmt: skip

SECTIONS: Final = {
    "en": ("AREA {}", "UNIT {} - FEED", "Section {}", "SYSTEM {}"),
    "de": ("Bereich {}", "Anlagenteil {}", "TEILANLAGE {}"),
    "fr": ("ZONE {}", "Unité {}", "Secteur {}"),
    "es": ("ÁREA {}", "Unidad {}", "SECCIÓN {}"),
    "pt": ("ÁREA {}", "Unidade {}"),
    "it": ("AREA {}", "Unità {}", "IMPIANTO {}"),
}  # fmt: skip

TOTALS: Final = {
    "en": "Total", "de": "Summe", "fr": "Total", "es": "Total", "pt": "Total", "it": "Totale",
}  # fmt: skip

NOTES: Final = {
    "en": ("Notes:", "1. Data to be confirmed by process.", "2. For abbreviations see EX-SPC-002."),
    "de": ("Hinweise:", "1) Angaben sind vom Verfahrenstechniker zu bestätigen."),
    "fr": ("Notes :", "1. Données à confirmer par le procédé."),
    "es": ("Notas:", "1. Datos por confirmar por proceso."),
    "pt": ("Notas:", "1. Dados a confirmar pelo processo."),
    "it": ("Note:", "1. Dati da confermare."),
}  # fmt: skip

SHEET_NAMES: Final = {
    "en": ("Index", "Level Gauges", "LG", "Sheet1", "Instrument List"),
    "de": ("Messstellen", "Standanzeiger", "Tabelle1"),
    "fr": ("Liste", "Niveaux", "Feuil1"),
    "es": ("Lista", "Niveles", "Hoja1"),
    "pt": ("Lista", "Níveis", "Planilha1"),
    "it": ("Elenco", "Livelli", "Foglio1"),
}  # fmt: skip

FLOAT_SHEETS: Final = {
    "en": ("Floats", "Float List", "Float data"), "de": ("Schwimmer", "Schwimmerliste"),
    "fr": ("Flotteurs",), "es": ("Flotadores",), "pt": ("Flutuadores",), "it": ("Galleggianti",),
}  # fmt: skip

WORDS: Final = {
    "level": {
        "en": ("level", "Level", "LVL"), "de": ("Füllstand",), "fr": ("niveau",), "es": ("nivel",),
        "pt": ("nível",), "it": ("livello",),
    },
    "interface": {
        "en": ("interface", "Interface", "I/F"), "de": ("Trennschicht",), "fr": ("interface",),
        "es": ("interfase",), "pt": ("interface",), "it": ("interfaccia",),
    },
    "electric": {
        "en": ("electric", "Yes", "ET", "Y"), "de": ("elektrisch", "ja"), "fr": ("électrique", "oui"),
        "es": ("eléctrico", "sí"), "pt": ("elétrico", "sim"), "it": ("elettrico", "sì"),
    },
    "none": {
        "en": ("none", "No", "N", "Not required"), "de": ("keine", "nein", "ohne"), "fr": ("non", "sans"),
        "es": ("no", "sin"), "pt": ("não", "sem"), "it": ("no", "senza"),
    },
    "flat": {
        "en": ("flat", "Flat ends"), "de": ("eben", "flach"), "fr": ("plats",), "es": ("planos",),
        "pt": ("planos",), "it": ("piani",),
    },
    "reverse": {
        "en": ("reverse", "Reverse"), "de": ("invers",), "fr": ("inverse",), "es": ("inversa",),
        "pt": ("inversa",), "it": ("inversa",),
    },
    "top / bottom": {
        "en": ("top / bottom", "Top-bottom", "T/B"), "de": ("oben / unten",), "fr": ("haut / bas",),
        "es": ("arriba / abajo",), "pt": ("superior / inferior",), "it": ("superiore / inferiore",),
    },
    "hemispherical": {
        "en": ("hemispherical", "Hemi."), "de": ("Halbkugel",), "fr": ("hémisphériques",),
        "es": ("hemisféricos",), "pt": ("hemisféricas",), "it": ("emisferici",),
    },
    "Water": {
        "en": ("Water", "WATER"), "de": ("Wasser",), "fr": ("Eau",), "es": ("Agua",), "pt": ("Água",),
        "it": ("Acqua",),
    },
}  # fmt: skip
"""Words in cells that decide something -> how the language writes them."""

MAGNETIC: Final = {
    "en": ("Magnetic level gauge", "MLG", "Level gauge, magnetic float"),
    "de": ("Magnetklappenanzeiger", "Bypass-Magnetstandanzeiger"),
    "fr": ("Indicateur de niveau magnétique", "Niveau à flotteur"),
    "es": ("Indicador de nivel magnético",), "pt": ("Indicador de nível magnético",),
    "it": ("Indicatore di livello magnetico",),
}  # fmt: skip

GLASS: Final = {
    "en": ("Reflex gauge glass", "Transparent level glass", "Sight glass"), "de": ("Reflexions-Standglas",
        "Schauglas"),
    "fr": ("Niveau à glace",), "es": ("Nivel de vidrio",), "pt": ("Visor de vidro",),
        "it": ("Livello a vetro",),
}  # fmt: skip

OTHERS: Final = (
    ("PG-{}", "Pressure gauge"), ("PT-{}", "Pressure transmitter"), ("TT-{}", "Temperature transmitter"),
    ("TI-{}", "Thermometer, bimetal"), ("FT-{}", "Flow transmitter, DP"), ("LT-{}", "Level transmitter, DP"),
    ("PSV-{}", "Safety valve"), ("LV-{}", "Control valve"), ("LT-{}", "Radar level transmitter"),
)  # fmt: skip
"""Other instruments of a plant: tag pattern and description."""

PLACEHOLDERS: Final = {
    "en": ("TBC", "TBA", "by vendor", "N/A", "-", "Hold", "later", "?", "See note 1", "By Vendor"),
    "de": ("k.A.", "-", "offen", "nach Angabe", "TBD"), "fr": ("à définir", "N/A", "-", "par fournisseur"),
    "es": ("por definir", "-", "N/A"), "pt": ("a definir", "-", "N/A"), "it": ("da definire", "-", "N.D."),
}  # fmt: skip

MACHINE_NAMES: Final = {
    "tag": "TAG_NO", "service": "SVC_DESC", "fluid": "FLUID_NAME", "fluid_density": "DENS_OPER",
    "operating_pressure": "OP_PRESS", "operating_temperature": "OP_TEMP", "design_pressure": "DES_PRESS",
    "design_temperature": "DES_TEMP", "visible_range": "VIS_RANGE",
}  # fmt: skip
"""Names that a database exports; other fields are called ATTR_nn."""

ABBREVIATED: Final = {
    "operating_pressure": "OP", "operating_temperature": "OT", "design_pressure": "DP",
        "design_temperature": "DT",
}  # fmt: skip

PAIRS: Final = {
    "en": "Design press./temp.", "de": "Auslegungsdruck/-temperatur", "fr": "Pression/température de calcul",
    "es": "Presión/temperatura de diseño", "pt": "Pressão/temperatura de projeto",
    "it": "Pressione/temperatura di progetto",
}  # fmt: skip
"""Over a column of '16 / 120'."""

STRANGERS: Final = (
    ("Tag No.", "Service", "Instrument Type", "Range (barg)", "Design Pressure (barg)", "Connection"),
    ("PG-101", "Feed pump discharge", "Pressure gauge", "0 - 16", 20.0, "1/2\" NPT"),
    ("PG-102", "Product header", "Pressure gauge", "0 - 25", 30.0, "1/2\" NPT"),
    ("PG-102", "Product header", "Pressure gauge", "0 - 25", 30.0, "1/2\" NPT"),
    ("PT-103", "Product header", "Pressure transmitter", "0 - 25", "#REF!", "1/2\" NPT"),
)  # fmt: skip
"""A list of other instruments, with faults that are not the audit's business."""
