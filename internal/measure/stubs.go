package measure

var electricModels, transducerModels, waterModels, vesselModels, heatModels, gasModels, combustionModels, hotWaterModels, volumeModels, conformityModels []*Model
