"""The words that people head their columns with, meaning by meaning.

Common practice, no source: US and UK English first, German and Spanish beside it. They are compared
without case, accents, punctuation and plural; `headings.py` does the comparing. `|` parts them.
"""

from __future__ import annotations

CUSTOMER: dict[str, str] = {
    "key": "key",
    "name": """
        whose|for|full name|customer|customer name|client|client name|contact name|owner|
        owner name|person|who|customer full name|display name|bill to|billed to|account name|
        kunde|kundin|kundenname|halter|besitzer|ansprechpartner|cliente|nombre|nombre completo|
        propietario|titular|file as|name of customer|customer or firm|name or firm|sold to|
        for whom|guest|party|contact|vorname nachname|nombre y apellido|payer|paid by whom|
        received from|from whom|from|eingang von|zahler|pagador""",
    "first": "first|given name|forename|fname|f name|christian name|vorname|nombre de pila|given",
    "last": "last|surname|family name|lname|l name|nachname|familienname|apellido|family",
    "prefix": "salutation|mr mrs|anrede|tratamiento|name prefix",
    "firm": """
        company|company name|business|business name|organization|organisation|org|employer|
        dealership|fleet|fleet name|firma|unternehmen|betrieb|empresa|compania|razon social""",
    "phone": """
        phone number|telephone|telephone number|tel|tel number|mobile|mobile phone|
        mobile number|cell|cell phone|cellphone|cell number|contact number|contact phone|
        home phone|work phone|phone 1|phone 2|second phone|alt phone|alternate phone|
        other phone|home|work|best number|best phone|number to call|call|day phone|
        evening phone|landline|telefon|telefonnummer|handy|handynummer|mobil|mobilnummer|
        mobiltelefon|rufnummer|festnetz|telefono|celular|movil|numero de telefono|phone value|
        primary phone|business phone|text number|texting""",
    "email": """
        e mail|email address|e mail address|electronic mail|email 1|email 2|second email|
        other email|email value|mailadresse|e mail adresse|correo|correo electronico|
        primary email|work email|home email""",
    "contact": """
        contact info|contact information|contact details|how to reach|reach at|kontakt|
        kontaktdaten|contacto|datos de contacto|contact us at""",
    "address": """
        full address|mailing address|postal address|home address|customer address|anschrift|
        adresse|direccion|domicilio|billing address|service address|location|ship to""",
    "street": """
        street address|address 1|address line 1|line 1|address1|street 1|road|strasse|
        strasse und hausnummer|calle|calle y numero|address line|house and street""",
    "street2": """
        address 2|address line 2|line 2|apt|unit number|suite|address2|apartment|zusatz|
        adresszusatz|piso|flat""",
    "city": """
        town|city town|ort|stadt|wohnort|ciudad|localidad|poblacion|municipio|post town|suburb""",
    "city_line": """
        city st zip|city state|town and zip|plz ort|cp y ciudad|city state postal code|
        town postcode""",
    "region": """
        region|province|county|st|state province|bundesland|land kreis|estado|provincia|
        state region""",
    "postal_code": """
        zip code|zipcode|postal code|postcode|post code|postal|plz|postleitzahl|codigo postal|
        cp|c p""",
    "country": "nation|land|pais|country region",
    "household": "family group|haushalt|hogar|same house as",
    "asks_by": """
        preferred contact|preferred channel|contact preference|contact by|contact method|
        preferred method|preferred contact method|best way|how to contact|contact via|
        best way to reach|bevorzugt|kontakt per|kontaktweg|prefiere|medio preferido|reach by""",
    "may_remind": """
        ok to remind|reminders|reminders ok|ok to contact|ok to email|ok to text|marketing|
        marketing ok|consent|opt in|opted in|permission|newsletter|subscribed|may we write|
        einwilligung|werbung erlaubt|consentimiento|send reminders|okay to contact|
        accepts marketing|email opt in|erinnern""",
    "do_not_write": """
        do not contact|do not mail|do not email|do not call|no contact|no reminders|stop|
        stopped|opt out|opted out|unsubscribed|unsubscribe|dnc|no mail|no marketing|
        keine werbung|nicht anschreiben|no contactar|no escribir|blocked""",
    "deceased": "passed away|dead|died|verstorben|fallecido|fallecida|late",
    "referred_by": """
        referral|referrer|referred|who referred|how heard|came from|source|recommended by|
        sent by|empfohlen von|recomendado por|introduced by|referral source""",
    "tax_exempt_no": """
        tax exempt|tax exemption|tax exempt number|exempt number|resale number|
        exemption certificate|steuerbefreiung|exento""",
    "since": """
        client since|since|date added|added|created|date created|first visit|member since|
        kunde seit|seit|cliente desde|desde|joined|first seen""",
    "notes": """
        comment|remarks|memo|info|other|misc|details|bemerkung|bemerkungen|notiz|notizen|
        anmerkung|notas|observaciones|comentarios|customer notes|additional info|
        special instructions|remember|instructions""",
}

VEHICLE: dict[str, str] = {
    "key": "vehicle key",
    "description": """
        car|motor|auto|automobile|truck|vehicle description|description of vehicle|vehicle info|
        vehicle information|year make model|ymm|make model|ride|what they drive|drives|kfz|
        what they brought|
        car description|vehicle name|fahrzeug|fahrzeuge|wagen|pkw|vehiculo|coche|carro|
        car truck|cars owned|unit description|which car|description""",
    "year": "model year|my|vehicle year|year built|baujahr|jahr|modelljahr|ano|anio|year of make",
    "make": "vehicle make|manufacturer|marque|marke|hersteller|marca|car make|brand",
    "model": "vehicle model|modell|modelo|car model|model name|trim level",
    "color": "paint color|exterior color|paint|farbe|lackfarbe|color exterior|col|clr",
    "plate": """
        plate number|license plate|licence plate|license|license number|lic|lic plate|tag|
        tag number|registration|registration number|reg|reg number|number plate|
        vehicle registration|kennzeichen|amtliches kennzeichen|nummernschild|kfz kennzeichen|
        placa|matricula|patente|lic no|vrm|reg plate|plate tag""",
    "plate_region": """
        tag state|license state|registration state|plate region|state of plate|reg state|
        state registered|lic state""",
    "vin": """
        vin number|vehicle identification number|chassis number|chassis|serial|
        fahrgestellnummer|fin|fahrzeugidentnummer|bastidor|numero de bastidor|numero de serie|
        vin code""",
    "fleet_unit": """
        fleet number|unit|unit number|van number|truck number|flottennummer|numero de unidad|
        asset number|fleet id""",
    "size": """
        size class|vehicle size|class|body size|category|size category|vehicle class|
        vehicle type|type|body|body style|body type|grosse|fahrzeugklasse|fahrzeugtyp|
        karosserie|tamano|clase|tipo|car size|car type|size outside""",
    "size_inside": "interior size|inside size",
    "stands": """
        parked|parking|where parked|garaged|kept|storage|stored|garage or street|where kept|
        overnight|stellplatz|abgestellt|estacionamiento|garage""",
    "lease_ends": "lease return|end of lease|leasing ende|fin de leasing|lease expiry|lease until",
    "mileage": "mileage|miles|km stand|kilometerstand|kilometraje|odo|kilometers|km",
    "notes": """
        car notes|paint notes|condition|paint condition|vehicle condition|zustand|
        estado del vehiculo|car comments|vehicle comments""",
}

SUPPLIER: dict[str, str] = {
    "name": """
        supplier name|vendor|vendor name|bought from|buy from|where bought|where to buy|
        order from|purchased from|distributor|shop|store|source|merchant|lieferant|lieferanten|
        handler|from whom|bezugsquelle|proveedor|proveedores|distribuidor|name|company|company name|
        seller|dealer|supplied by|get from|wholesaler|who from|place|firm|firma|empresa""",
    "contact": """
        contact person|contact name|rep|sales rep|representative|account manager|
        ansprechpartner|contacto|agent|salesperson""",
    "phone": """
        phone number|telephone|tel|mobile|cell|order line|order phone|telefon|telefono|
        fax less phone|supplier phone""",
    "email": "e mail|email address|order email|sales email|correo|orders to|supplier email",
    "address": "mailing address|full address|anschrift|adresse|direccion|location|supplier address",
    "street": "street address|address 1|address line 1|strasse|calle",
    "city": "town|ort|stadt|ciudad",
    "region": "region|province|estado|provincia|bundesland",
    "postal_code": "zip code|postal code|postcode|plz|codigo postal",
    "account_no": """
        account|acct|acct number|customer number|kundennummer|numero de cuenta|
        numero de cliente""",
    "promised_days": """
        lead time|delivery time|days to deliver|delivery days|ships in|lead day|lieferzeit|
        plazo de entrega|delivery|turnaround|lead""",
    "freight": """
        shipping|shipping cost|delivery cost|delivery fee|delivery charge|postage|
        freight charge|versand|versandkosten|fracht|envio|gastos de envio|porte|shipping fee""",
    "free_freight_from": """
        free shipping over|free shipping|free freight|freight free over|free delivery over|
        free delivery|frei haus ab|versandkostenfrei ab|envio gratis desde|free over|
        free shipping from|free ship min""",
    "minimum_order": """
        min order|minimum|order minimum|mindestbestellwert|pedido minimo|minimum spend""",
    "website": "web|url|site|web site|homepage|webseite|sitio web",
    "notes": """
        comment|remarks|memo|info|bemerkung|bemerkungen|notas|terms|payment terms|sells|
        what they sell|products""",
}

SUPPLY: dict[str, str] = {
    "key": "supply key",
    "name": """
        supply name|product|product name|item|item name|name|chemical|chemical name|material|
        article|description|item description|product description|stuff|what|goods|consumable|
        title|artikel|artikelname|bezeichnung|produkt|produktname|material name|
        artikelbezeichnung|producto|articulo|descripcion|nombre del producto|nombre|insumo|
        inventory item|shelf item|mittel|material bezeichnung|product or item|liquid""",
    "kind": "measured as|liquid or paste|form|physical form|state of matter|art",
    "category": """
        group|product group|type|product type|department|section|used for|kategorie|warengruppe|
        gruppe|typ|categoria|grupo|tipo|family|class|purpose|product category""",
    "maker": "brand|manufacturer|make|made by|hersteller|marke|marca|fabricante",
    "stock": """
        stock|qty|quantity|whats left|what is left|still there|qty on hand|
        quantity on hand|count|current stock|have|we have|
        on shelf|shelf|left|remaining|amount|amount left|how much left|inventory|level|current|
        balance|units on hand|stock level|available|current qty|current quantity|bestand|
        lagerbestand|menge|anzahl|vorrat|auf lager|vorhanden|rest|existencia|cantidad|
        disponible|inventario|stock actual|what we have|counted|qoh|soh|oh|how many|
        stock on hand|ist bestand|amount on hand|pieces""",
    "unit": """
        unit of measure|uom|u m|measure|einheit|mengeneinheit|me|unidad|unidad de medida|per|um|
        measured in|packaging|container""",
    "size": """
        pack size|size|container size|bottle size|package size|package|bottle|container volume|
        volume|packaging size|sold in|comes in|unit size|jug size|contents|net contents|fill|
        gebinde|gebindegrosse|packung|packungsgrosse|inhalt|flaschengrosse|grosse|
        menge pro gebinde|envase|tamano|presentacion|contenido|case size|bottle or pack|weight|
        how sold|purchase size|order size|net weight|pack size 2|vpe""",
    "price": """
        cost|pack price|unit cost|cost each|price each|each|paid|last price|price paid|
        purchase price|last cost|cost per unit|cost per bottle|price per pack|unit price|
        buy price|trade price|we pay|what we pay|rate|einkauf|einkauf netto|
        preis|einkaufspreis|ek|ek preis|kosten|stuckpreis|preis pro gebinde|precio|
        costo|coste|precio unitario|precio de compra|cost price|cost per pack|net price|
        list price|price per unit|price per bottle|amount per pack|ek netto""",
    "value": """
        value|total value|stock value|extended|extended cost|total|total cost|inventory value|
        wert|lagerwert|gesamtwert|valor|importe|line total|ext|ext price|ext cost|gesamt""",
    "supplier": """
        from whom|bought at|bought off|purchased at|supplier name|
        vendor|vendor name|bought from|buy from|
        where bought|where to buy|order from|purchased from|distributor|source|store|lieferant|
        bezugsquelle|proveedor|from|supplied by|get it from|where from|preferred vendor|
        where we get it|shop|wholesaler""",
    "code": """
        item code|product code|sku|part number|part|item number|catalog number|catalogue number|
        stock number|article number|artikelnummer|art nr|artikel nr|bestellnummer|codigo|
        referencia|ref|order code|order number|vendor code|supplier code|barcode|upc|ean|number""",
    "dilution": """
        dilution ratio|ratio|mix|mix ratio|mixing ratio|dilute|verdunnung|mischverhaltnis|
        mischungsverhältnis|dilucion|proporcion|parts water|mix at|use at""",
    "density": "specific gravity|sg|dichte|densidad|density g ml|g ml|gravity",
    "reorder": """
        reorder|reorder at|reorder point|reorder level|min|minimum|min stock|minimum stock|
        min qty|par|par level|low at|order when|reorder when|alert at|restock at|mindestbestand|
        meldebestand|bestellpunkt|stock minimo|minimo|punto de pedido|max|max stock|reorder qty|
        minimum qty|order point|min level|low stock""",
    "to_order": """
        order|order qty|need|needed|need to order|on order|qty to order|to buy|buy|reorder y n|
        zu bestellen|bestellt|a pedir|ordered""",
    "place": """
        place|location|bin|shelf|where|where kept|storage|storage location|position|rack|aisle|
        cabinet|lagerort|lagerplatz|regal|fach|ubicacion|estante|lugar|room|area|stored at""",
    "shelf_life": """
        shelf life months|life sealed|keeps|good for|haltbarkeit|haltbar|vida util|caducidad|
        sealed life|unopened life|shelf life sealed""",
    "opened_life": """
        life opened|once opened|after opening|use within|period after opening|pao|
        haltbarkeit geoffnet|haltbarkeit nach öffnen|geoffnet haltbar|abierto|open life|
        shelf life opened|life once opened""",
    "expires": """
        expiry|expiry date|expiration|expiration date|best before|use by|exp|exp date|mhd|
        verfall|verfallsdatum|vence|fecha de caducidad|caduca""",
    "protection": "protection|protection type|coating class|schutz|schutzart|proteccion|leaves",
    "life": """
        durability|life on vehicle|life on car|how long it lasts|duration|lifetime|standzeit|
        duracion|protection life|expected life|longevity""",
    "signal_word": "signal|signalwort|palabra de advertencia|danger warning",
    "hazards": """
        hazard|hazard codes|h codes|h statements|ghs hazards|h satze|gefahrenhinweise|gefahren|
        indicaciones de peligro|peligros|h phrases|ghs""",
    "pictograms": """
        ghs pictograms|ghs symbols|symbols|hazard symbols|piktogramme|pictogramas|ghs codes""",
    "stopped": """
        discontinued|inactive|do not reorder|dont reorder|no longer used|use up|eingestellt|
        descontinuado|obsolete""",
    "active": "in use|still used|aktiv|activo|current item",
    "tare": "tare|tare weight|empty bottle|leergewicht|tara",
    "checked": """
        last counted|date counted|as of|last updated|updated|stand|last ordered|last order|
        date ordered|purchase date|date purchased|bought|bought on|date bought|gekauft am|
        comprado|last bought|inventurdatum|checked|date""",
    "notes": """
        comment|remarks|memo|info|bemerkung|bemerkungen|notiz|notas|observaciones|use|usage|
        used on|details|sds|link|url""",
}

JOB: dict[str, str] = {
    "key": "job key",
    "number": """
        job|job id|invoice|invoice number|inv|inv number|order number|work order|wo|ticket|
        ticket number|number|ref|reference|receipt number|rechnung|rechnungsnummer|rechnungsnr|
        auftrag|auftragsnummer|auftragsnr|factura|numero de factura|orden|folio|
        appointment number|rg nr|re nr""",
    "day": """
        day|service date|job date|date of service|work date|appointment|appointment date|start|
        start date|started|first day|from|when|visit|visit date|invoice date|date done|
        date completed|booked for|scheduled|date of job|datum|tag|termin|auftragsdatum|
        leistungsdatum|rechnungsdatum|beginn|von|fecha|fecha de servicio|fecha del trabajo|dia|
        inicio|cita|drop off|dropped off|in|arrived|date detailed|detail date|date washed|
        date worked""",
    "last_day": """
        end|end date|date out|finished|completed|completion date|to|until|pick up|picked up|out|
        ende|bis|fertig|fin|hasta|entregado|done on|date finished|pickup date|returned""",
    "state": """
        state|job status|stage|progress|done|complete|estado|estatus|fortschritt|auftragsstatus""",
    "services": """
        what|did what|work|work done|job|menu|menu item|
        job description|description|package|what done|service performed|
        detail|job type|type|service type|type of service|what we did|treatment|work performed|
        item|task|leistung|leistungen|arbeit|arbeiten|tatigkeit|auftrag|servicio|trabajo|
        trabajo realizado|paquete|what was done|what i did|detail package|type of detail|
        product service|line item|position""",
    "hours": """
        how long|took|it took|hrs|hr|time|time spent|labor hours|labour hours|duration|labor|labour|
        time taken|hours worked|total hours|stunden|std|arbeitszeit|dauer|zeit|horas|tiempo|
        hours spent|actual hours|man hours|time on job""",
    "net": """
        subtotal|sub total|net amount|before tax|amount before tax|pre tax|price before tax|
        netto|nettobetrag|zwischensumme|neto|base imponible|base|ex tax|excl tax|ex vat|
        excluding tax|amount excl tax|taxable|pretax""",
    "tax": """
        sales tax|vat|tax amount|gst|hst|mwst|ust|mehrwertsteuer|umsatzsteuer|steuer|iva|
        impuesto|tax charged|tax collected|state tax""",
    "tax_rate": "tax percent|vat rate|steuersatz|mwst satz|tipo de iva|tasa|tax pct|rate of tax",
    "gross": """
        total|amount|charge|charged|total price|total charged|total amount|amount charged|
        grand total|cost|fee|invoice total|bill|billed|amount due|invoiced|revenue|sale|gross|
        quoted|quote|value|with tax|total with tax|incl tax|preis|betrag|gesamt|summe|
        gesamtbetrag|brutto|bruttobetrag|rechnungsbetrag|precio|importe|total con iva|monto|
        cobrado|invoice amount|what i charged|job total|price charged|total due|inc vat|
        total inc vat|amount billed|total bill|umsatz|income""",
    "charge": "extra charge|add on price",
    "discount": "less|rabatt|nachlass|descuento|coupon|reduction|discount given|off",
    "tip": "gratuity|trinkgeld|propina",
    "deposit": "deposit paid|down payment|prepaid|anzahlung|deposito|anticipo|retainer|advance",
    "paid": """
        amount paid|payment|received|amount received|paid amount|collected|payment received|
        bezahlt|gezahlt|zahlung|zahlbetrag|pagado|pago|cobro|total paid|money received|paid y n|
        paid in full|payment status|zahlungsstatus|estado de pago|paid yes no|settled""",
    "paid_on": """
        date paid|payment date|paid date|bezahlt am|zahlungsdatum|fecha de pago|received on|
        date received|date of payment""",
    "method": """
        paid how|how they paid|paid through|payment method|method|how paid|payment type|
        pay method|paid with|type of payment|zahlungsart|zahlungsweise|zahlungsmethode|
        forma de pago|metodo de pago|tender|pmt method|cash check card|pay type|how""",
    "balance": """
        balance due|outstanding|owed|owes|still owed|offen|offener betrag|saldo|pendiente|
        unpaid|running total|cumulative|ytd|profit|margin|supply cost|material cost|
        cost of supplies|expense|rate per hour|per hour|hourly""",
    "notes": """
        comment|remarks|memo|job notes|info|bemerkung|bemerkungen|notiz|notizen|notas|
        observaciones|comentarios|remember|instructions|special requests""",
}

LAYER: dict[str, str] = {
    "day": """
        date applied|applied|application date|coated on|date coated|when applied|install date|
        installed|installed on|date installed|date|day|aufgetragen am|aufgetragen|versiegelt am|
        aplicado|fecha de aplicacion|fecha|datum|waxed on|sealed on|put on|date put on""",
    "supply": """
        what|protection|product applied|product|coating|coating applied|wax|sealant|
        wax or sealant|layer|product used|coating used|lsp|protection used|applied product|
        topper|supply|versiegelung|wachs|beschichtung|mittel|schutz|recubrimiento|sellador|cera|
        producto aplicado|producto|coating product|what applied|wax sealant coating|protectant|
        last protection|material""",
    "surfaces": """
        surface group|where applied|applied to|area|parts|panels|where|location on vehicle|
        flachen|oberflache|bereich|superficie|superficies|zona|on what|coated areas""",
    "count": "number of layers|coats|coat count|lagen|schichten|capas",
    "notes": """
        comment|remarks|memo|bemerkung|bemerkungen|notas|lot|lot number|batch|charge nr|
        conditions|cured|applied by""",
}

RECEIPT: dict[str, str] = {
    "day": """
        day|payment date|paid on|date paid|received|date received|received on|datum|
        zahlungsdatum|eingang|fecha|fecha de pago|deposit date|when|posted|buchungstag""",
    "amount": """
        payment|payment amount|amount paid|paid|received|amount received|sum|total|betrag|
        zahlung|zahlbetrag|importe|monto|pago|money in|deposit|credit|collected""",
    "method": """
        payment method|paid by|how paid|type|payment type|how|tender|zahlungsart|forma de pago|
        metodo|via|paid with|pay method""",
    "job": """
        job number|invoice|invoice number|inv|reference|ref|rechnung|rechnungsnummer|auftrag|
        factura|against invoice|applied to|number""",
    "kind": "payment kind|deposit or payment|art|clase de pago|what for|purpose",
    "notes": """
        comment|memo|description|bemerkung|notas|verwendungszweck|concepto|remarks|check number""",
}

# Words for a kind of thing: in sheet names and titles, and before a heading ("Customer phone").
KINDS: dict[str, str] = {
    "customer": """
        customer|client|owner|contact|people|person|kunde|kunden|halter|cliente|propietario|
        address book|mailing list|customer list|client list|kontakte|contactos""",
    "vehicle": """
        vehicle|car|auto|truck|van|fahrzeug|wagen|vehiculo|coche|carro|fleet""",
    "supplier": """
        supplier|vendor|distributor|lieferant|proveedor|where we buy""",
    "supply": """
        supply|product|item|chemical|material|inventory|stock|shelf|article|consumable|
        artikel|produkt|bestand|lager|inventar|producto|inventario|existencias|stock list|
        inventory list|stock take|lagerliste|bestandsliste|almacen""",
    "job": """
        job|service|invoice|work|appointment|visit|history|order|sales|log|income|schedule|
        revenue|auftrag|auftrage|rechnung|rechnungen|arbeiten|trabajo|factura|servicios|
        work log|job log|service history|past jobs|umsatz|ventas|bookings""",
    "layer": """
        layer|coating|protection|applied|application|versiegelung|beschichtung|proteccion|
        recubrimiento|coatings applied|applied layers|wax log|coating log|coating register|
        protection applied""",
    "receipt": "receipt|payment|money received|zahlung|zahlungen|pago|cobros|money in",
}
