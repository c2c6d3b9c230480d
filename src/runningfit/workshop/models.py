"""Every table of the workshop, room by room."""

from runningfit.workshop.joints.models import JointDecision, KnownOfLot, KnownOfPlace
from runningfit.workshop.outside_work.models import (
    Consignment,
    ConsignmentLine,
    CountBack,
    Discrepancy,
    OutsideShop,
    PhoneCall,
)
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

__all__ = [
    "Area",
    "Bag",
    "BenchList",
    "BenchRow",
    "Change",
    "Consignment",
    "ConsignmentLine",
    "CountBack",
    "Discrepancy",
    "Engine",
    "Finding",
    "Holding",
    "Job",
    "JointDecision",
    "KnownOfLot",
    "KnownOfPlace",
    "Lot",
    "Movement",
    "OutsideShop",
    "PhoneCall",
    "Photo",
    "Place",
    "Record",
    "Shop",
    "TallyPress",
    "TallySheet",
    "ThreadGauging",
    "ThreadNaming",
    "ToBuy",
]
