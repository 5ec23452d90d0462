from fitsolver.reading.list_patterns import *
for d in ["PISTON KIT 54.00 +0.25 (A)","Kolbensatz P62 54,00 +0,25 Kl. A","PISTON KIT 54.00 STD (B)","kit pistone 54.25","Piston set 0.50 O/S 54mm","RING SET .020","HEAD GASKET 0.8 mm","Kolben 3.500\" +.020","Piston kit P62 62.00 0.50 O/S grade B", "OIL FILTER 12"]:
    p=proposed([d],"mm","." if "," not in d else ",")
    print(d,p, read_description(d,[x for x,_ in p]))
