"""Documents of open standards for measured data: files to raw rows.

    stream.py     the documents of a file, one after the other, whatever they are wrapped in:
                  ``scanner.py`` piece by piece, ``json_text.py``, ``document.py``
    shapes.py     what a document may look like, by the JSON Schemas in ``schemas``
    times.py      date-times and spans as the standards write them
    mhealth.py    data points of Open mHealth and IEEE 1752.1
    fhir.py       Observations of HL7 FHIR R4, alone or in a Bundle
    reading.py    what a document says: one reading a value, or why there is none
    read.py       a file to raw rows

The schemas are written in our own words from the published ones, with only the parts that are read.
A document that breaks its schema gives no value; a valid one that no signal is made of is named.
"""
