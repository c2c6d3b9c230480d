"""Every table of the workshop, room by room."""

from runningfit.workshop.joints.fit_models import DrawerShim, RunningFit
from runningfit.workshop.joints.match_models import MatchDecision, ShimSheet
from runningfit.workshop.joints.models import JointDecision, KnownOfLot, KnownOfPlace
from runningfit.workshop.measurements.figure_models import MakersFigure, TimingReading
from runningfit.workshop.measurements.models import (
    Calibration,
    EngineSizes,
    Feature,
    FeatureLimit,
    FeatureSet,
    Inspection,
    Instrument,
    Reading,
)
from runningfit.workshop.outside_work.models import (
    Consignment,
    ConsignmentLine,
    CountBack,
    Discrepancy,
    OutsideShop,
    PhoneCall,
)
from runningfit.workshop.photos.hardware_models import PhotoCorrection, PhotoPiece, PhotoRun, PrintedMat
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import (
    Area,
    Bag,
    BenchList,
    BenchRow,
    Finding,
    Holding,
    Lot,
    Movement,
    Place,
    TallyPress,
    TallySheet,
)
from runningfit.workshop.pieces.thread_models import ThreadGauging, ThreadNaming
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.models import Change, Engine, Job, Record, Shop
from runningfit.workshop.treatments.models import MachiningDecision, MachiningOperation, MachiningPlan

__all__ = [
    "Area",
    "Bag",
    "BenchList",
    "BenchRow",
    "Calibration",
    "Change",
    "Consignment",
    "ConsignmentLine",
    "CountBack",
    "Discrepancy",
    "DrawerShim",
    "Engine",
    "EngineSizes",
    "Feature",
    "FeatureLimit",
    "FeatureSet",
    "Finding",
    "Holding",
    "Inspection",
    "Instrument",
    "Job",
    "JointDecision",
    "KnownOfLot",
    "KnownOfPlace",
    "Lot",
    "MachiningDecision",
    "MachiningOperation",
    "MachiningPlan",
    "MakersFigure",
    "MatchDecision",
    "Movement",
    "OutsideShop",
    "PhoneCall",
    "Photo",
    "PhotoCorrection",
    "PhotoPiece",
    "PhotoRun",
    "Place",
    "PrintedMat",
    "Reading",
    "Record",
    "RunningFit",
    "ShimSheet",
    "Shop",
    "TallyPress",
    "TallySheet",
    "ThreadGauging",
    "ThreadNaming",
    "TimingReading",
    "ToBuy",
]
