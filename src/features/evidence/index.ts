// What a folder knows, for every command that speaks of its shop.
export { addEvidence, addWithoutReadings, type EvidenceFlags, folderPosterior } from "./folder-posterior.js";
